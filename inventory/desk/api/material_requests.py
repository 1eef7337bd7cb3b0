"""What the actions on one material are asked with: drawing, scrapping, selling, counting."""

from decimal import Decimal
from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema_serializer
from rest_framework import serializers

from inventory.base.api.fields import (
    LEAST,
    ApiAmountField,
    ApiLotField,
    HolderField,
    quantity_field,
)
from inventory.models import Lot, Material


class OfMaterial(serializers.Serializer):
    """Something asked of one material, which the view puts in the context."""

    lot = ApiLotField(required=False, allow_null=True, default=None)

    def validate_lot(self, lot: Lot | None) -> Lot | None:
        material: Material = self.context["material"]
        if lot is not None and lot.material_id != material.pk:
            raise serializers.ValidationError(f"{lot.number} is not a lot of {material}.")
        return lot

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        several = attrs.get("quantity", 1) != 1 and attrs.get("lot") is not None
        if several and self.context["material"].is_piece:
            raise serializers.ValidationError(
                {"quantity": "A piece is a single item. To take several, leave the piece out."}
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
class DrawStock(OfMaterial):
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
    price = ApiAmountField(help_text="For all of it, net of tax.")
    happened_at = serializers.DateTimeField(required=False, allow_null=True, default=None)


@extend_schema_serializer(
    examples=[OpenApiExample("A drawer of nuts", value={"counted": "18", "why": "miscounted"})]
)
class CountStock(OfMaterial):
    counted = quantity_field(min_value=Decimal(0))
    why = serializers.CharField(max_length=300, required=False, allow_blank=True, default="")
    happened_at = serializers.DateTimeField(required=False, allow_null=True, default=None)
