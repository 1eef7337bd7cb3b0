"""What the deeper actions are asked with: cutting, weighing, counting, ordering, making up."""

from decimal import Decimal
from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema_serializer
from rest_framework import serializers

from inventory.api.asked import LEAST, HolderField, NewPiece
from inventory.arrivals import PieceFacts
from inventory.calc.cutting import Loss
from inventory.cuts import CutPart
from inventory.models import (
    VERDICTS,
    DifferenceReason,
    KeptAs,
    Material,
    Meter,
    OrderLine,
    Place,
)
from inventory.ordering import ToOrder

MOST_PARTS = 40


def _quantity(**kwargs: Any) -> serializers.DecimalField:
    return serializers.DecimalField(max_digits=15, decimal_places=3, **kwargs)


class CutOut(NewPiece):
    material = serializers.PrimaryKeyRelatedField(queryset=Material.objects.all())
    measure = _quantity(min_value=LEAST, help_text="Length in mm, or mm² on a board.")
    quantity = _quantity(min_value=LEAST, default=Decimal(1))

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
class Cut(serializers.Serializer):
    quantity = _quantity(min_value=LEAST, default=Decimal(1))
    usable = _quantity(min_value=LEAST, help_text="What lies between the trimmed ends.")
    parts = CutOut(many=True, allow_empty=False)
    remnants = CutOut(many=True, required=False, default=list)

    def to_arguments(self) -> dict[str, Any]:
        """Return what the service takes."""
        data = dict(self.validated_data)
        for name in ("parts", "remnants"):
            data[name] = [CutOut().to_part(row) for row in data[name]]
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
    verdict = serializers.ChoiceField(choices=[(one.value, one.label) for one in VERDICTS])
    why = serializers.CharField(max_length=300)


@extend_schema_serializer(
    examples=[
        OpenApiExample("A pin meter", value={"raw": "9.5", "on": "2027-03-09", "celsius": "19"})
    ]
)
class Moisture(serializers.Serializer):
    raw = _quantity(min_value=Decimal(0), max_value=Decimal(200))
    on = serializers.DateField()
    meter = serializers.PrimaryKeyRelatedField(
        queryset=Meter.objects.all(), required=False, allow_null=True, default=None
    )
    celsius = _quantity(required=False, allow_null=True, default=None)


@extend_schema_serializer(examples=[OpenApiExample("A tin", value={"on": "2027-03-09"})])
class OpenPack(serializers.Serializer):
    on = serializers.DateField()


@extend_schema_serializer(examples=[OpenApiExample("Old glue", value={"why": "set in the bottle"})])
class WriteOff(serializers.Serializer):
    why = serializers.CharField(max_length=300, required=False, allow_blank=True, default="")


@extend_schema_serializer(
    examples=[OpenApiExample("A blind count", value={"name": "year end 2027", "is_blind": True})]
)
class StartCount(serializers.Serializer):
    name = serializers.CharField(max_length=80)
    place = serializers.PrimaryKeyRelatedField(
        queryset=Place.objects.all(), required=False, allow_null=True, default=None
    )
    is_blind = serializers.BooleanField(default=False)


@extend_schema_serializer(
    examples=[OpenApiExample("Three given away", value={"counted": "7", "reason": "given"})]
)
class NoteCount(serializers.Serializer):
    counted = _quantity(min_value=Decimal(0), allow_null=True)
    reason = serializers.ChoiceField(
        choices=DifferenceReason.choices, required=False, allow_blank=True, default=""
    )
    note = serializers.CharField(max_length=200, required=False, allow_blank=True, default="")


class OrderedLine(serializers.Serializer):
    material = serializers.PrimaryKeyRelatedField(
        queryset=Material.objects.select_related("supplier")
    )
    quantity = _quantity(min_value=LEAST)
    price = serializers.DecimalField(
        max_digits=14,
        decimal_places=4,
        min_value=Decimal(0),
        required=False,
        allow_null=True,
        default=None,
        help_text="Of one unit as shown, in the supplier's money.",
    )


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "Ten nuts",
            value={
                "on": "2027-03-09",
                "lines": [{"material": 4, "quantity": "10", "price": "4.00"}],
            },
        )
    ]
)
class NewOrders(serializers.Serializer):
    on = serializers.DateField()
    lines = OrderedLine(many=True, allow_empty=False)

    def to_lines(self) -> list[ToOrder]:
        """Return what the service takes."""
        return [ToOrder(**line) for line in self.validated_data["lines"]]


class ChangedLine(serializers.Serializer):
    line = serializers.PrimaryKeyRelatedField(queryset=OrderLine.objects.all())
    quantity = _quantity(min_value=Decimal(0), help_text="0 takes the line off.")
    price = serializers.DecimalField(
        max_digits=14,
        decimal_places=4,
        min_value=Decimal(0),
        help_text="Of one unit as shown, in the supplier's money.",
    )


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "Twelve nuts instead",
            value={
                "lines": [{"line": 9, "quantity": "12", "price": "3.90"}],
                "note": "Blond, please.",
            },
        )
    ]
)
class ChangeOrder(serializers.Serializer):
    lines = ChangedLine(many=True)
    note = serializers.CharField(max_length=2000, required=False, allow_blank=True)


class PartAsked(serializers.Serializer):
    material = serializers.PrimaryKeyRelatedField(queryset=Material.objects.all())
    quantity = _quantity(min_value=LEAST, help_text="Base units, in one.")


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "A wiring kit",
            value={
                "material": 31,
                "parts": [{"material": 17, "quantity": "2"}, {"material": 18, "quantity": "800"}],
            },
        )
    ]
)
class RecipeAsked(serializers.Serializer):
    material = serializers.PrimaryKeyRelatedField(
        queryset=Material.objects.exclude(kept_as=KeptAs.PIECE)
    )
    parts = PartAsked(many=True, allow_empty=False)

    def validate_parts(self, parts: list[dict[str, Any]]) -> list[dict[str, Any]]:
        if len(parts) > MOST_PARTS:
            raise serializers.ValidationError(f"A recipe has at most {MOST_PARTS} parts.")
        return parts


@extend_schema_serializer(examples=[OpenApiExample("A day", value={"on": "2027-03-09"})])
class OnDay(serializers.Serializer):
    on = serializers.DateField()


@extend_schema_serializer(examples=[OpenApiExample("Five sets", value={"quantity": "5"})])
class MakeUp(serializers.Serializer):
    quantity = _quantity(min_value=LEAST)
    holder = HolderField(
        required=False, allow_blank=True, default="", help_text="Empty: onto the shelf."
    )
