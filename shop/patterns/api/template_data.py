"""How templates look in the API, and what is checked before one is changed."""

import copy
from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema_serializer
from rest_framework import serializers

from inventory.base.api.examples import example
from inventory.base.api.fields import DecimalField
from inventory.base.api.views import Serializer
from inventory.base.calc.units import UNITS_BY_KIND
from shop.models import (
    BuildTemplate,
    TemplateFailure,
    TemplateLine,
    TemplateOption,
    TemplateSpec,
    TemplateStage,
)
from shop.patterns.services.stocking import Stocked

UNIT_CODES = sorted({unit.code for units in UNITS_BY_KIND.values() for unit in units})
STAGE_EXAMPLE = OpenApiExample(
    "bending ribs",
    value={
        "template": 1,
        "position": 5,
        "name": "Bend ribs, blocks, linings, rib frame",
        "hours_low": "4.00",
        "hours_likely": "6.50",
        "hours_high": "10.00",
        "waiting_days": "1.5",
        "waiting_for": "in the mould, 1 to 2 days",
        "saving_two": "0.200",
        "saving_four": "0.300",
    },
    request_only=True,
)
LINE_EXAMPLE = OpenApiExample(
    "fretwire with 12 % extra",
    value={
        "template": 1,
        "position": 16,
        "name": "Fretwire",
        "family": 2,
        "quantity": "0.930",
        "unit": "m",
        "waste_rule": "percent",
        "waste_rate": "0.120",
        "cost_likely": "6.00",
    },
    request_only=True,
)


class CheckedSerializer(Serializer):
    """A row of a template that holds the database's rules before it is written."""

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        row = copy.copy(self.instance) if self.instance else self.Meta.model()  # type: ignore[misc]
        for name, value in attrs.items():
            setattr(row, name, value)
        for name in ("option", "stage", "line"):
            other = getattr(row, name, None)
            if other is not None and other.template_id != row.template_id:
                raise serializers.ValidationError({name: "It belongs to another template."})
        row.validate_constraints()
        return attrs


@example("a tailpiece", template=1, name="Cast tailpiece", is_on=False, one_of="Tailpiece")
class OptionData(CheckedSerializer):
    """A choice that switches stages and lines of its template."""

    class Meta:
        model = TemplateOption
        fields = ["id", "template", "name", "is_on", "one_of"]


@extend_schema_serializer(examples=[STAGE_EXAMPLE])
class TemplateStageData(CheckedSerializer):
    """A step of the work."""

    class Meta:
        model = TemplateStage
        fields = [
            "id",
            "template",
            "position",
            "name",
            "hours_low",
            "hours_likely",
            "hours_high",
            "waiting_days",
            "waiting_for",
            "saving_two",
            "saving_four",
            "option",
            "caution",
        ]


@extend_schema_serializer(examples=[LINE_EXAMPLE])
class TemplateLineData(CheckedSerializer):
    """A material of a template; `quantity` is in `unit`, costs are seeds for the whole line."""

    unit = serializers.ChoiceField(choices=UNIT_CODES)

    class Meta:
        model = TemplateLine
        fields = [
            "id",
            "template",
            "position",
            "name",
            "family",
            "material",
            "quantity",
            "unit",
            "stock_size",
            "wood",
            "piece_length_mm",
            "piece_width_mm",
            "piece_thickness_mm",
            "piece_parts",
            "cost_low",
            "cost_likely",
            "cost_high",
            "waste_rule",
            "waste_rate",
            "spares",
            "cut_length_mm",
            "stock_length_mm",
            "kerf_mm",
            "least_remnant_mm",
            "option",
            "stage",
        ]


@example(
    "nut width",
    template=1,
    position=2,
    name="Nut width",
    value="28.6",
    unit="mm",
    choices="28.6; 30; 31",
    is_asked=True,
)
class TemplateSpecData(CheckedSerializer):
    """A row of the specification: what is settled with the client, and what it usually is.

    The piece chosen for `line` fills it; a row of an `option` stands in for its namesake.
    """

    class Meta:
        model = TemplateSpec
        fields = [
            "id",
            "template",
            "position",
            "name",
            "value",
            "unit",
            "choices",
            "is_asked",
            "line",
            "option",
        ]


@example("nut width", name="Nut width", value="31", unit="mm")
class SpecRowData(serializers.Serializer):
    """A row of a specification as it reads."""

    name = serializers.CharField(max_length=80)
    value = serializers.CharField(max_length=160, allow_blank=True)
    unit = serializers.CharField(max_length=12, allow_blank=True, required=False, default="")


@example("a snapped rib", stage=5, name="A rib snaps in bending", one_in=10, hours="6.50", lost=[3])
class TemplateFailureData(Serializer):
    """Something that goes wrong in a stage in one build of `one_in`, what is redone and lost.

    Without `hours`, all hours from `redo_from`, or of the stage alone, are redone.
    """

    class Meta:
        model = TemplateFailure
        fields = ["id", "stage", "name", "one_in", "hours", "redo_from", "lost"]

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        stage = attrs.get("stage") or self.instance.stage  # type: ignore[union-attr]
        redo_from = attrs.get("redo_from")
        if redo_from and redo_from.template_id != stage.template_id:
            raise serializers.ValidationError({"redo_from": "It belongs to another template."})
        if redo_from and redo_from.position > stage.position:
            raise serializers.ValidationError({"redo_from": "Choose an earlier stage."})
        if any(line.template_id != stage.template_id for line in attrs.get("lost", ())):
            raise serializers.ValidationError({"lost": "A line belongs to another template."})
        return attrs


class TemplateData(Serializer):
    """An instrument pattern in short; `likely` hours are of what is on, `build_count` past ones."""

    likely = DecimalField(max_digits=8, decimal_places=2, read_only=True, allow_null=True)
    build_count = serializers.IntegerField(read_only=True)

    class Meta:
        model = BuildTemplate
        fields = [
            "id",
            "name",
            "description",
            "is_starter",
            "is_archived",
            "note_to_self",
            "made_before",
            "likely",
            "build_count",
        ]
        read_only_fields = ["is_starter"]


@example(
    "a template of your own",
    name="Bouzouki, arched",
    description="22 inch scale, oval hole.",
    note_to_self="Charge for the longer neck.",
)
class FullTemplateData(TemplateData):
    """An instrument pattern with its options, stages, lines and specification."""

    options = OptionData(many=True, read_only=True)
    stages = TemplateStageData(many=True, read_only=True)
    lines = TemplateLineData(many=True, read_only=True)
    specification = TemplateSpecData(source="specs", many=True, read_only=True)

    class Meta(TemplateData.Meta):
        fields = [*TemplateData.Meta.fields, "options", "stages", "lines", "specification"]


@example("a copy", name="Carved-top bouzouki, wide nut")
class TemplateCopyAsked(serializers.Serializer):
    """The name of a copy."""

    name = serializers.CharField(max_length=120)


class LeftOutData(serializers.Serializer):
    """A line that still names no material, and why."""

    line = serializers.IntegerField(source="line.pk")
    why_not = serializers.CharField()


@example("as they were answered", lines=[31, 32], made=[118])
class UnstockAsked(serializers.Serializer):
    """Keys of lines that shall name no material again, and of materials to remove."""

    lines = serializers.ListField(child=serializers.IntegerField(min_value=1), max_length=500)
    made = serializers.ListField(child=serializers.IntegerField(min_value=1), max_length=500)


class StockedData(serializers.Serializer):
    """Keys of the materials made and used, of the lines that name one now, and what is left."""

    made = serializers.SerializerMethodField()
    reused = serializers.SerializerMethodField()
    linked = serializers.SerializerMethodField()
    left_out = LeftOutData(many=True)

    def get_made(self, done: Stocked) -> list[int]:
        return [material.pk for material in done.made]

    def get_reused(self, done: Stocked) -> list[int]:
        return [material.pk for material in done.reused]

    def get_linked(self, done: Stocked) -> list[int]:
        return [line.pk for line in done.linked]
