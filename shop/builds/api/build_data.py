"""How builds look in the API. Quantities are in base units: mm, cm², ml, g, each."""

from decimal import Decimal
from typing import Any

from django.urls import reverse
from drf_spectacular.utils import extend_schema_field, extend_schema_serializer
from rest_framework import serializers

from inventory.base.api.examples import example
from inventory.base.api.fields import DecimalField
from inventory.base.api.views import Serializer
from inventory.models import Lot, Material, StockEntry
from shop.builds.queries.needs import BuildNeed
from shop.models import Build, BuildDraw, BuildLine, BuildNote, BuildStage
from shop.patterns.api.template_data import SpecRowData

LEAST = Decimal("0.001")


def quantity_field(**given: Any) -> DecimalField:
    """Return a field for a quantity in base units."""
    return DecimalField(max_digits=18, decimal_places=3, **given)


@extend_schema_serializer(component_name="BuildStageData")
class BuildStageData(Serializer):
    """A stage of a build."""

    class Meta:
        model = BuildStage
        fields = [
            "id",
            "position",
            "name",
            "hours_planned",
            "waiting_days",
            "started_at",
            "finished_at",
        ]
        read_only_fields = fields


class LineData(Serializer):
    """A material that a build needs: what was drawn and what is reserved for it."""

    key = serializers.CharField(read_only=True)
    material_name = serializers.CharField(
        source="material.name", default=None, allow_null=True, read_only=True
    )
    unit = serializers.CharField(
        source="material.unit", default=None, allow_null=True, read_only=True
    )
    kept_as = serializers.CharField(
        source="material.kept_as", default=None, allow_null=True, read_only=True
    )
    caution = serializers.CharField(source="material.caution", default="", read_only=True)
    used = serializers.SerializerMethodField()
    lacking = serializers.SerializerMethodField(help_text="Reserved, but no longer available.")
    promised = serializers.SerializerMethodField()
    pieces = serializers.SerializerMethodField()

    class Meta:
        model = BuildLine
        fields = [
            "id",
            "key",
            "position",
            "name",
            "stage",
            "material",
            "material_name",
            "unit",
            "kept_as",
            "caution",
            "quantity",
            "to_draw",
            "used",
            "promised",
            "pieces",
            "lacking",
        ]
        read_only_fields = fields

    def _need(self, line: BuildLine) -> BuildNeed:
        need: BuildNeed = self.context["needs"][line.pk]
        return need

    def get_used(self, line: BuildLine) -> str:
        return f"{self._need(line).used:.3f}"

    def get_promised(self, line: BuildLine) -> str:
        return f"{self._need(line).promised:.3f}"

    def get_lacking(self, line: BuildLine) -> str:
        return f"{self._need(line).lacking:.3f}"

    def get_pieces(self, line: BuildLine) -> list[str]:
        return [lot.number for lot in self._need(line).pieces]


class AgreedChangeData(serializers.Serializer):
    """A change that was agreed after the order; `stages` and `lines` are what it brought.

    `waits`: it is paid before it is made and not paid yet, so it is not to be begun.
    """

    number = serializers.IntegerField()
    title = serializers.CharField()
    words = serializers.CharField()
    agreed_on = serializers.DateField()
    days_added = serializers.IntegerField()
    waits = serializers.BooleanField()
    stages = serializers.ListField(child=serializers.IntegerField())
    lines = serializers.ListField(child=serializers.IntegerField())


class OrderData(serializers.Serializer):
    """The keys of whose order a build is."""

    quote = serializers.IntegerField()
    commission = serializers.IntegerField()
    client = serializers.IntegerField()


class BuildData(Serializer):
    """A build with its stages, what it needs, and what was changed since it was ordered."""

    batch_name = serializers.CharField(
        source="batch.name", default=None, allow_null=True, read_only=True
    )
    holder = serializers.CharField(read_only=True)
    is_open = serializers.BooleanField(read_only=True)
    stages = BuildStageData(many=True, read_only=True)
    lines = LineData(many=True, read_only=True)
    order = serializers.SerializerMethodField()
    changes = serializers.SerializerMethodField()
    specification_rows = SpecRowData(many=True, read_only=True)

    class Meta:
        model = Build
        fields = [
            "id",
            "serial",
            "title",
            "state",
            "is_open",
            "template",
            "batch",
            "batch_name",
            "holder",
            "order",
            "specification",
            "specification_rows",
            "options",
            "made_on",
            "promised_on",
            "started_on",
            "finished_on",
            "closed_on",
            "is_set_aside",
            "stages",
            "lines",
            "changes",
        ]
        read_only_fields = fields

    @extend_schema_field(OrderData(allow_null=True))
    def get_order(self, build: Build) -> dict[str, int] | None:
        """Whose order it is; null for one that nobody ordered."""
        order = self.context["orders"].get(build.pk)
        return OrderData(order).data if order else None

    @extend_schema_field(AgreedChangeData(many=True))
    def get_changes(self, build: Build) -> list[dict[str, Any]]:
        agreed = self.context["changes"].get(build.pk, ())
        return list(AgreedChangeData(agreed, many=True).data)


class BuildEntryData(Serializer):
    """The stock entry behind a draw."""

    lot = serializers.CharField(source="lot.number", default=None, allow_null=True, read_only=True)

    class Meta:
        model = StockEntry
        fields = [
            "id",
            "material",
            "lot",
            "reason",
            "quantity",
            "note",
            "happened_at",
            "recorded_at",
            "to_reconcile",
        ]
        read_only_fields = fields


class DrawData(Serializer):
    """What was drawn or scrapped for a build."""

    entry = BuildEntryData(read_only=True)

    class Meta:
        model = BuildDraw
        fields = ["id", "build", "line", "stage", "entry"]
        read_only_fields = fields


class NoteData(Serializer):
    """A note or photo of a build; `photo` is where the picture is read, `small` one for a list."""

    photo = serializers.SerializerMethodField()
    small = serializers.SerializerMethodField()

    class Meta:
        model = BuildNote
        fields = [
            "id",
            "build",
            "stage",
            "text",
            "photo",
            "small",
            "is_released",
            "made_at",
            "made_by",
        ]
        read_only_fields = fields

    def get_photo(self, note: BuildNote) -> str | None:
        if not note.photo:
            return None
        return reverse("build-photo", args=[note.build_id, note.pk])

    def get_small(self, note: BuildNote) -> str | None:
        if not note.photo:
            return None
        return reverse("build-small-photo", args=[note.build_id, note.pk])


class ForBuildAsked(serializers.Serializer):
    """What is taken for a build: a line of it, a material, or a lot by its number."""

    quantity = quantity_field(min_value=LEAST)
    line = serializers.PrimaryKeyRelatedField(
        queryset=BuildLine.objects.all(), required=False, allow_null=True
    )
    material = serializers.PrimaryKeyRelatedField(
        queryset=Material.objects.all(), required=False, allow_null=True
    )
    lot = serializers.SlugRelatedField(
        slug_field="number", queryset=Lot.objects.all(), required=False, allow_null=True
    )
    stage = serializers.PrimaryKeyRelatedField(
        queryset=BuildStage.objects.all(), required=False, allow_null=True
    )
    happened_at = serializers.DateTimeField(
        required=False, allow_null=True, help_text="By the device's clock; default: now."
    )

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        build: Build = self.context["build"]
        for name in ("line", "stage", "draw"):
            row = attrs.get(name)
            if row is not None and row.build_id != build.pk:
                raise serializers.ValidationError(
                    {name: f"It belongs to another build, not {build}."}
                )
        return attrs


class DrawAsked(ForBuildAsked):
    """A draw; it is recorded even beyond the recorded stock, see `to_reconcile`."""

    note = serializers.CharField(required=False, allow_blank=True, default="", max_length=300)


@example("a cracked rib", line=15, quantity="1", why="cracked in bending", stage=41)
class ScrapAsked(ForBuildAsked):
    """Something lost, and why; with `draw`, out of what was drawn before."""

    why = serializers.CharField(max_length=300)
    draw = serializers.PrimaryKeyRelatedField(
        queryset=BuildDraw.objects.all(), required=False, allow_null=True
    )


@example("some wire back", quantity="90")
class ReturnAsked(serializers.Serializer):
    """How much of a draw comes back."""

    quantity = quantity_field(min_value=LEAST)
    happened_at = serializers.DateTimeField(required=False, allow_null=True)


@example("a note on a stage", text="Neck angle checked: 4.5 mm at the bridge.", stage=41)
class NoteAsked(serializers.Serializer):
    """Words, a photo or both."""

    text = serializers.CharField(required=False, allow_blank=True, default="")
    photo = serializers.ImageField(required=False, allow_null=True)
    stage = serializers.PrimaryKeyRelatedField(
        queryset=BuildStage.objects.all(), required=False, allow_null=True
    )
    happened_at = serializers.DateTimeField(required=False, allow_null=True)
