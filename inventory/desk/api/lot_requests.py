"""What the actions on one lot or piece are asked with: cutting, losing, judging, weighing."""

from decimal import Decimal
from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema_serializer
from rest_framework import serializers

from inventory.base.api.fields import (
    LEAST,
    ApiAmountField,
    HappenedField,
    moisture_field,
    quantity_field,
)
from inventory.cutting.calc.costs import Loss
from inventory.cutting.queries import CutPart
from inventory.ledger.services.incoming import PieceFacts
from inventory.models import VERDICTS, Material, Meter
from inventory.purchasing.api.delivery_requests import NewPiece


class CutOut(NewPiece):
    material = serializers.PrimaryKeyRelatedField(queryset=Material.objects.all())
    measure = quantity_field(min_value=LEAST, help_text="Length in mm, or mm² on a board.")
    quantity = quantity_field(min_value=LEAST, default=Decimal(1))

    def to_part(self, data: dict[str, Any]) -> CutPart:
        """Return what the service takes."""
        own = {name: data[name] for name in ("material", "measure", "quantity")}
        facts = {name: value for name, value in data.items() if name not in own}
        return CutPart(**own, piece=PieceFacts(**facts))


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "A board into two blanks",
            value={
                "usable": "2320",
                "parts": [{"material": 4, "measure": "620", "length_mm": "620"}] * 2,
                "remnants": [{"material": 2, "measure": "1077", "length_mm": "1077"}],
            },
        )
    ]
)
class CutStock(serializers.Serializer):
    quantity = quantity_field(min_value=LEAST, default=Decimal(1))
    usable = quantity_field(min_value=LEAST, help_text="The length between the trimmed ends.")
    parts = CutOut(many=True, allow_empty=False)
    remnants = CutOut(many=True, required=False, default=list)
    sure = serializers.BooleanField(
        required=False,
        default=False,
        help_text="Cut it all the same: drying wood, an odd thickness, short grain.",
    )

    def to_arguments(self) -> dict[str, Any]:
        """Return what the service takes."""
        data = dict(self.validated_data)
        for name in ("parts", "remnants"):
            data[name] = [CutOut().to_part(row) for row in data[name]]
        data["ask_first"] = not data.pop("sure")
        return data


@extend_schema_serializer(
    examples=[OpenApiExample("A pin knot", value={"kind": "normal", "why": "pin knot"})]
)
class Lose(serializers.Serializer):
    kind = serializers.ChoiceField(choices=[(kind.value, kind.value) for kind in Loss])
    why = serializers.CharField(max_length=300)

    def validate_kind(self, kind: str) -> Loss:
        return Loss(kind)


@extend_schema_serializer(examples=[OpenApiExample("A pair", value={"why": "one half split"})])
class Split(serializers.Serializer):
    why = serializers.CharField(max_length=300, required=False, allow_blank=True, default="")


@extend_schema_serializer(
    examples=[OpenApiExample("Run-out", value={"verdict": "downgraded", "why": "run-out"})]
)
class Judge(serializers.Serializer):
    verdict = serializers.ChoiceField(choices=[one.value for one in VERDICTS])
    why = serializers.CharField(max_length=300)


@extend_schema_serializer(
    examples=[
        OpenApiExample("A pin meter", value={"raw": "0.095", "on": "2027-03-09", "celsius": "19"})
    ]
)
class Moisture(serializers.Serializer):
    raw = moisture_field(help_text="As the meter said it.")
    on = HappenedField()
    meter = serializers.PrimaryKeyRelatedField(
        queryset=Meter.objects.all(), required=False, allow_null=True, default=None
    )
    celsius = quantity_field(required=False, allow_null=True, default=None)
    by_oven = serializers.BooleanField(
        required=False, default=False, help_text="Of an oven-dried sample, not by a meter."
    )


@extend_schema_serializer(examples=[OpenApiExample("A tin", value={"on": "2027-03-09"})])
class OpenPack(serializers.Serializer):
    on = HappenedField()


@extend_schema_serializer(examples=[OpenApiExample("Old glue", value={"why": "set in the bottle"})])
class WriteOff(serializers.Serializer):
    why = serializers.CharField(max_length=300, required=False, allow_blank=True, default="")


@extend_schema_serializer(examples=[OpenApiExample("A spruce set", value={"grams": "868"})])
class Weighed(serializers.Serializer):
    grams = quantity_field(min_value=LEAST)
    happened_at = serializers.DateTimeField(required=False, allow_null=True, default=None)


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "A top", value={"photo": "top.jpg", "note": "run-out"}, media_type="multipart/form-data"
        )
    ]
)
class Photographed(serializers.Serializer):
    photo = serializers.ImageField()
    note = serializers.CharField(max_length=200, required=False, allow_blank=True, default="")
    happened_at = serializers.DateTimeField(required=False, allow_null=True, default=None)


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "A set with run-out", value={"quantity": "1", "credit": "32.00", "why": "run-out"}
        )
    ]
)
class SendBack(serializers.Serializer):
    quantity = quantity_field(min_value=LEAST)
    credit = ApiAmountField()
    why = serializers.CharField(max_length=300, required=False, allow_blank=True, default="")
