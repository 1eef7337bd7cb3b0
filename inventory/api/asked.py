"""What the API's actions are asked with. Quantities are in base units: mm, cm², ml, g, each."""

from decimal import Decimal
from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema_serializer
from rest_framework import serializers

from inventory.arrivals import NewLine, PieceFacts
from inventory.calc.money import is_currency
from inventory.models import Lot, Material, OrderLine, Place, ShareBy, Supplier
from inventory.money import home_currency, home_unit

LEAST = Decimal("0.001")
MOST_LINES = 200


def quantity_field(**kwargs: Any) -> serializers.DecimalField:
    """Return a field for a quantity in base units, to the thousandth."""
    return serializers.DecimalField(max_digits=15, decimal_places=3, **kwargs)


def _size() -> serializers.DecimalField:
    return quantity_field(min_value=LEAST, required=False, allow_null=True, default=None)


class AmountField(serializers.DecimalField):
    """Home money, in whole minor units of it."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(
            max_digits=14, decimal_places=3, min_value=kwargs.pop("min_value", Decimal(0)), **kwargs
        )

    def to_internal_value(self, data: Any) -> Decimal:
        amount: Decimal = super().to_internal_value(data)
        unit = home_unit()
        if amount % unit:
            raise serializers.ValidationError(f"Money goes in steps of {unit} here.")
        return amount


class HolderField(serializers.RegexField):
    """The key of whoever stock is for, such as `build:12`."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(r"^[a-z][a-z-]*:[\w-]+\Z", max_length=40, **kwargs)
        self.error_messages["invalid"] = "A holder is a key such as build:12."


class LotField(serializers.SlugRelatedField):
    """A lot or piece by its number, such as `T-0412`."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(
            slug_field="number", queryset=Lot.objects.select_related("material"), **kwargs
        )


class OfMaterial(serializers.Serializer):
    """Something asked of one material, which the view puts in the context."""

    lot = LotField(required=False, allow_null=True, default=None)

    def validate_lot(self, lot: Lot | None) -> Lot | None:
        material: Material = self.context["material"]
        if lot is not None and lot.material_id != material.pk:
            raise serializers.ValidationError(f"{lot.number} is no lot of {material}.")
        return lot

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        several = attrs.get("quantity", 1) != 1 and attrs.get("lot") is not None
        if several and self.context["material"].is_piece:
            raise serializers.ValidationError(
                {"quantity": "A piece is one: name no piece to take several."}
            )
        return attrs


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "Wire for 22 frets",
            value={"quantity": "1050", "holder": "build:12", "note": "22 frets"},
        )
    ]
)
class Draw(OfMaterial):
    quantity = quantity_field(min_value=LEAST)
    holder = HolderField(required=False, allow_blank=True, default="")
    line = serializers.CharField(max_length=40, required=False, allow_blank=True, default="")
    note = serializers.CharField(max_length=300, required=False, allow_blank=True, default="")
    happened_at = serializers.DateTimeField(required=False, allow_null=True, default=None)


@extend_schema_serializer(
    examples=[
        OpenApiExample("A cracked set", value={"quantity": "1", "lot": "T-0412", "why": "cracked"})
    ]
)
class Scrap(OfMaterial):
    quantity = quantity_field(min_value=LEAST)
    why = serializers.CharField(max_length=300)
    holder = HolderField(required=False, allow_blank=True, default="")
    happened_at = serializers.DateTimeField(required=False, allow_null=True, default=None)


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "A set to a friend",
            value={"quantity": "1", "lot": "T-0412", "to": "Osric Pondweed", "price": "60.00"},
        )
    ]
)
class Sell(OfMaterial):
    quantity = quantity_field(min_value=LEAST)
    to = serializers.CharField(max_length=120)
    price = AmountField(help_text="For all of it, net of tax.")
    happened_at = serializers.DateTimeField(required=False, allow_null=True, default=None)


@extend_schema_serializer(
    examples=[OpenApiExample("A drawer of nuts", value={"counted": "18", "why": "miscounted"})]
)
class Count(OfMaterial):
    counted = quantity_field(min_value=Decimal(0))
    why = serializers.CharField(max_length=300, required=False, allow_blank=True, default="")
    happened_at = serializers.DateTimeField(required=False, allow_null=True, default=None)


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


@extend_schema_serializer(examples=[OpenApiExample("Some wire back", value={"quantity": "90"})])
class BringBack(serializers.Serializer):
    quantity = quantity_field(min_value=LEAST)
    happened_at = serializers.DateTimeField(required=False, allow_null=True, default=None)


@extend_schema_serializer(examples=[OpenApiExample("A slip", value={"why": "typed twice"})])
class Correct(serializers.Serializer):
    why = serializers.CharField(max_length=300)


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "A set with run-out", value={"quantity": "1", "credit": "32.00", "why": "run-out"}
        )
    ]
)
class SendBack(serializers.Serializer):
    quantity = quantity_field(min_value=LEAST)
    credit = AmountField()
    why = serializers.CharField(max_length=300, required=False, allow_blank=True, default="")


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "A set for a build",
            value={
                "material": 1,
                "quantity": "1",
                "lot": "T-0412",
                "holder": "build:12",
                "holder_name": "2027-03 for Osric Pondweed",
            },
        )
    ]
)
class Promised(serializers.Serializer):
    material = serializers.PrimaryKeyRelatedField(queryset=Material.objects.all())
    quantity = quantity_field(min_value=LEAST)
    lot = LotField(required=False, allow_null=True, default=None)
    holder = HolderField()
    holder_name = serializers.CharField(max_length=120)
    line = serializers.CharField(max_length=40, required=False, allow_blank=True, default="")
    until = serializers.DateField(required=False, allow_null=True, default=None)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        lot, material = attrs["lot"], attrs["material"]
        if lot is None:
            return attrs
        if lot.material_id != material.pk:
            raise serializers.ValidationError({"lot": f"{lot.number} is no lot of {material}."})
        if not material.is_piece or attrs["quantity"] != 1:
            raise serializers.ValidationError(
                {"lot": "Only a piece is promised by its number, and as one."}
            )
        return attrs


class NewPiece(serializers.Serializer):
    length_mm, width_mm, thickness_mm, mass_g = _size(), _size(), _size(), _size()
    parts = serializers.IntegerField(min_value=1, max_value=8, default=1)
    grade = serializers.CharField(max_length=80, required=False, allow_blank=True, default="")
    felled_on = serializers.DateField(required=False, allow_null=True, default=None)
    is_ready = serializers.BooleanField(default=False)
    note = serializers.CharField(max_length=2000, required=False, allow_blank=True, default="")


class NewDeliveryLine(serializers.Serializer):
    material = serializers.PrimaryKeyRelatedField(queryset=Material.objects.all())
    quantity = quantity_field(min_value=LEAST)
    price = AmountField(help_text="For all of it.")
    mass_g = _size()
    place = serializers.PrimaryKeyRelatedField(
        queryset=Place.objects.all(), required=False, allow_null=True, default=None
    )
    expires_on = serializers.DateField(required=False, allow_null=True, default=None)
    note = serializers.CharField(max_length=2000, required=False, allow_blank=True, default="")
    order_line = serializers.PrimaryKeyRelatedField(
        queryset=OrderLine.objects.all(), required=False, allow_null=True, default=None
    )
    pieces = NewPiece(many=True, required=False, default=list)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if attrs["pieces"] and not attrs["material"].is_piece:
            raise serializers.ValidationError({"pieces": "This material is not kept by the piece."})
        if len(attrs["pieces"]) > attrs["quantity"]:
            raise serializers.ValidationError(
                {"pieces": "There are more pieces than the quantity."}
            )
        return attrs


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "Two sets of spruce",
            value={
                "supplier": 1,
                "received_on": "2027-03-09",
                "reference": "B-2291",
                "carriage": "8.00",
                "lines": [
                    {
                        "material": 1,
                        "quantity": "2",
                        "price": "64.00",
                        "pieces": [
                            {"mass_g": "868", "parts": 2},
                            {"mass_g": "842", "parts": 2},
                        ],
                    }
                ],
            },
        )
    ]
)
class NewDelivery(serializers.Serializer):
    supplier = serializers.PrimaryKeyRelatedField(
        queryset=Supplier.objects.all(), required=False, allow_null=True, default=None
    )
    received_on = serializers.DateField()
    reference = serializers.CharField(max_length=60, required=False, allow_blank=True, default="")
    carriage = AmountField(default=Decimal(0))
    duty = AmountField(default=Decimal(0))
    tax = AmountField(default=Decimal(0), help_text="Can be reclaimed: no part of the cost.")
    currency = serializers.CharField(
        max_length=3, required=False, allow_blank=True, default="", help_text="ISO 4217."
    )
    rate = serializers.DecimalField(
        max_digits=18,
        decimal_places=8,
        min_value=Decimal("0.00000001"),
        required=False,
        allow_null=True,
        default=None,
        help_text="Of that currency for one of home money.",
    )
    share_by = serializers.ChoiceField(choices=ShareBy.choices, default=ShareBy.VALUE)
    note = serializers.CharField(max_length=2000, required=False, allow_blank=True, default="")
    lines = NewDeliveryLine(many=True, allow_empty=False)

    def validate_currency(self, code: str) -> str:
        if code and not is_currency(code):
            raise serializers.ValidationError(f"“{code}” is no currency of ISO 4217.")
        return "" if code == home_currency() else code

    def validate_lines(self, lines: list[dict[str, Any]]) -> list[dict[str, Any]]:
        if len(lines) > MOST_LINES:
            raise serializers.ValidationError(f"A delivery has at most {MOST_LINES} lines.")
        return lines

    def to_arguments(self) -> dict[str, Any]:
        """Return what the service takes."""
        data = dict(self.validated_data)
        data["lines"] = [
            NewLine(**{**line, "pieces": [PieceFacts(**piece) for piece in line["pieces"]]})
            for line in data["lines"]
        ]
        return data
