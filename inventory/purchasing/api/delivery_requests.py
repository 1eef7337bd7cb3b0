"""What a delivery is booked in with: its lines, and the pieces of a line."""

from decimal import Decimal
from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema_serializer
from rest_framework import serializers

from inventory.base.api.fields import (
    LEAST,
    ApiAmountField,
    DecimalField,
    HappenedField,
    quantity_field,
)
from inventory.base.calc.money import is_currency
from inventory.base.queries import home_currency
from inventory.ledger.services.incoming import NewLine, PieceFacts
from inventory.models import Material, OrderLine, Place, ShareBy, Supplier

MOST_LINES = 200


def _size() -> DecimalField:
    return quantity_field(min_value=LEAST, required=False, allow_null=True, default=None)


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
    price = ApiAmountField(help_text="For all of it.")
    mass_g = _size()
    place = serializers.PrimaryKeyRelatedField(
        queryset=Place.objects.all(), required=False, allow_null=True, default=None
    )
    expires_on = serializers.DateField(required=False, allow_null=True, default=None)
    note = serializers.CharField(max_length=2000, required=False, allow_blank=True, default="")
    order_line = serializers.PrimaryKeyRelatedField(
        queryset=OrderLine.objects.all(), required=False, allow_null=True, default=None
    )
    pack = quantity_field(
        min_value=LEAST,
        required=False,
        allow_null=True,
        default=None,
        help_text="What one pack holds, in base units.",
    )
    pieces = NewPiece(many=True, required=False, default=list)

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        if attrs["pieces"] and not attrs["material"].is_piece:
            raise serializers.ValidationError({"pieces": "This material is not kept as pieces."})
        if len(attrs["pieces"]) > attrs["quantity"]:
            raise serializers.ValidationError(
                {"pieces": "There are more pieces than the quantity allows."}
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
    received_on = HappenedField()
    reference = serializers.CharField(max_length=60, required=False, allow_blank=True, default="")
    carriage = ApiAmountField(default=Decimal(0))
    duty = ApiAmountField(default=Decimal(0))
    tax = ApiAmountField(default=Decimal(0), help_text="Reclaimable: not part of the cost.")
    currency = serializers.CharField(
        max_length=3, required=False, allow_blank=True, default="", help_text="ISO 4217."
    )
    rate = DecimalField(
        max_digits=18,
        decimal_places=8,
        min_value=Decimal("0.00000001"),
        required=False,
        allow_null=True,
        default=None,
        help_text="Units of that currency to one of the workshop's own.",
    )
    share_by = serializers.ChoiceField(choices=ShareBy.choices, default=ShareBy.VALUE)
    note = serializers.CharField(max_length=2000, required=False, allow_blank=True, default="")
    teaches = serializers.BooleanField(
        default=True,
        help_text="Take over replacement prices, supplier, lead time and pack sizes.",
    )
    lines = NewDeliveryLine(many=True, allow_empty=False)

    def validate_currency(self, code: str) -> str:
        if code and not is_currency(code):
            raise serializers.ValidationError(f"“{code}” is not an ISO 4217 currency code.")
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
