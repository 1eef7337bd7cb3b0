"""Stock entries and reservations, as the API shows them."""

from collections.abc import Iterable
from typing import TypeAlias

from drf_spectacular.utils import OpenApiExample, extend_schema_serializer
from rest_framework import serializers
from rest_framework.response import Response

from inventory.base.api.fields import DecimalField
from inventory.base.api.views import Serializer
from inventory.models import Delivery, DeliveryLine, Lot, Promise, Sale, StockEntry

LotNumber: TypeAlias = "serializers.SlugRelatedField[Lot]"


class EntrySerializer(Serializer):
    """One line of the stock journal."""

    lot: LotNumber = serializers.SlugRelatedField(
        slug_field="number", read_only=True, allow_null=True
    )

    class Meta:
        model = StockEntry
        fields = [
            "id",
            "material",
            "lot",
            "reason",
            "quantity",
            "cost",
            "holder",
            "note",
            "happened_at",
            "recorded_at",
            "about",
            "act",
            "to_reconcile",
            "reconciled_at",
        ]
        read_only_fields = fields


ENTRIES = {201: EntrySerializer(many=True)}
"The answer to an act that posted several journal entries."


def entries_answer(entries: Iterable[StockEntry]) -> Response:
    """Return what an act answers that wrote `entries`."""
    return Response(EntrySerializer(entries, many=True).data, status=201)


class SaleSerializer(Serializer):
    """Stock that was sold from the rack; its entry may have been corrected since."""

    class Meta:
        model = Sale
        fields = ["id", "entry", "to", "price"]
        read_only_fields = fields


class ComingSerializer(serializers.Serializer):
    """So much of a material that was ordered, and about when it is expected."""

    order = serializers.IntegerField(source="order.pk")
    number = serializers.CharField(source="order.number")
    quantity = DecimalField(max_digits=18, decimal_places=3)
    expected_on = serializers.DateField()


class PromiseSerializer(Serializer):
    """Stock reserved for a holder."""

    lot: LotNumber = serializers.SlugRelatedField(
        slug_field="number", read_only=True, allow_null=True
    )

    class Meta:
        model = Promise
        fields = [
            "id",
            "material",
            "lot",
            "holder",
            "holder_name",
            "line",
            "quantity",
            "outstanding",
            "until",
            "made_at",
            "ended_at",
        ]
        read_only_fields = fields


class DeliveryLineSerializer(Serializer):
    lots = serializers.SerializerMethodField(help_text="Numbers of the lots from this line.")

    class Meta:
        model = DeliveryLine
        fields = ["material", "quantity", "price", "foreign_price", "mass_g", "landed_cost", "lots"]

    def get_lots(self, line: DeliveryLine) -> list[str]:
        return [lot.number for lot in line.lots.all()]


class DeliverySerializer(Serializer):
    """A delivery with its lines, landed."""

    lines = DeliveryLineSerializer(many=True, read_only=True)
    is_taken_back = serializers.BooleanField(
        read_only=True, help_text="Reversed: none of it is in stock."
    )

    class Meta:
        model = Delivery
        fields = [
            "id",
            "supplier",
            "received_on",
            "reference",
            "carriage",
            "duty",
            "tax",
            "currency",
            "rate",
            "share_by",
            "note",
            "bill",
            "lines",
            "is_taken_back",
        ]


@extend_schema_serializer(examples=[OpenApiExample("A mistake", value={"why": "typed twice"})])
class Correct(serializers.Serializer):
    why = serializers.CharField(max_length=300)
