"""Species, counts, orders, recipes, and what is worked out from them, as the API shows them."""

from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema_field, extend_schema_serializer
from rest_framework import serializers

from inventory.api.happenings import LotNumber
from inventory.models import (
    Count,
    CountLine,
    Credit,
    DifferenceReason,
    Meter,
    MoistureReading,
    Order,
    OrderLine,
    Recipe,
    RecipePart,
    Species,
)
from inventory.queries.recipes import replacement_cost, still_makeable
from inventory.rest.views import Serializer


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "A species of one's own",
            value={"name": "Pear", "shrinkage_radial": "3.9", "shrinkage_tangential": "11.3"},
            request_only=True,
        )
    ]
)
class SpeciesSerializer(Serializer):
    class Meta:
        model = Species
        fields = [
            "id",
            "name",
            "botanical_name",
            "density",
            "shrinkage_radial",
            "shrinkage_tangential",
            "dust",
            "listing",
            "listing_read_on",
            "source",
            "is_verified",
        ]


@extend_schema_serializer(
    examples=[
        OpenApiExample(
            "A pin meter",
            value={"name": "pin meter", "slope": "0.9", "offset": "0.5", "per_degree": "0.1"},
            request_only=True,
        )
    ]
)
class MeterSerializer(Serializer):
    class Meta:
        model = Meter
        fields = [
            "id",
            "name",
            "slope",
            "offset",
            "per_degree",
            "calibrated_at",
            "tested_on",
            "note",
        ]


class MoistureReadingSerializer(Serializer):
    class Meta:
        model = MoistureReading
        fields = ["id", "read_on", "meter", "raw", "celsius", "corrected"]


class CountLineSerializer(Serializer):
    lot: LotNumber = serializers.SlugRelatedField(slug_field="number", read_only=True)
    expected = serializers.SerializerMethodField(
        help_text="What the books said at the freeze; null in a blind count under way."
    )
    reason = serializers.ChoiceField(
        choices=DifferenceReason.choices, allow_blank=True, read_only=True
    )

    class Meta:
        model = CountLine
        fields = ["id", "count", "material", "lot", "expected", "counted", "reason", "note"]
        read_only_fields = fields

    def get_expected(self, line: CountLine) -> str | None:
        is_hidden = line.count.is_blind and line.count.closed_at is None
        return None if is_hidden else f"{line.expected:.3f}"


class CountSerializer(Serializer):
    class Meta:
        model = Count
        fields = ["id", "name", "place", "is_blind", "frozen_at", "closed_at"]
        read_only_fields = fields


class OrderLineSerializer(Serializer):
    class Meta:
        model = OrderLine
        fields = ["id", "material", "words", "quantity", "price", "received"]


class OrderSerializer(Serializer):
    lines = OrderLineSerializer(many=True, read_only=True)

    class Meta:
        model = Order
        fields = [
            "id",
            "number",
            "supplier",
            "made_on",
            "sent_on",
            "closed_on",
            "currency",
            "note",
            "lines",
        ]


class RecipePartSerializer(Serializer):
    class Meta:
        model = RecipePart
        fields = ["material", "quantity"]


class AllowedSerializer(serializers.Serializer):
    """A part of a recipe, and how many it alone would allow."""

    name = serializers.CharField()
    count = serializers.IntegerField()


class RecipeSerializer(Serializer):
    """A recipe; quantities of its parts in base units, for one."""

    parts = RecipePartSerializer(many=True, read_only=True)
    makeable = serializers.SerializerMethodField(help_text="How many the free parts still make.")
    limited_by = serializers.SerializerMethodField(help_text="Every part that runs out first.")
    allowed = serializers.SerializerMethodField()
    cost = serializers.SerializerMethodField(help_text="Parts of one at replacement prices.")

    class Meta:
        model = Recipe
        fields = ["id", "material", "note", "parts", "makeable", "limited_by", "allowed", "cost"]

    def get_makeable(self, row: Recipe) -> int:
        return still_makeable(row).count

    def get_limited_by(self, row: Recipe) -> list[str]:
        return list(still_makeable(row).limited_by)

    @extend_schema_field(AllowedSerializer(many=True))
    def get_allowed(self, row: Recipe) -> list[dict[str, Any]]:
        return [{"name": name, "count": count} for name, count in still_makeable(row).allowed]

    @extend_schema_field(serializers.DecimalField(max_digits=18, decimal_places=3))
    def get_cost(self, row: Recipe) -> str:
        return f"{replacement_cost(row):.3f}"


class CreditSerializer(Serializer):
    """What a supplier owes for one entry of stock sent back, in home money."""

    class Meta:
        model = Credit
        fields = ["id", "supplier", "entry", "amount", "given_on", "settled_on", "note"]


class WantedSerializer(serializers.Serializer):
    holder = serializers.CharField()
    holder_name = serializers.CharField()
    quantity = serializers.DecimalField(max_digits=18, decimal_places=3)
    wanted_by = serializers.DateField(allow_null=True)


class BuySerializer(serializers.Serializer):
    """A material to buy; quantities in base units."""

    material = serializers.IntegerField(source="material.pk")
    name = serializers.CharField(source="material.name")
    supplier = serializers.IntegerField(source="material.supplier_id", allow_null=True)
    wanted = WantedSerializer(many=True)
    on_order = serializers.DecimalField(max_digits=18, decimal_places=3)
    short = serializers.DecimalField(max_digits=18, decimal_places=3)
    quantity = serializers.DecimalField(max_digits=18, decimal_places=3)
    order_by = serializers.DateField(allow_null=True)


class WentSerializer(serializers.Serializer):
    holder = serializers.CharField()
    holder_name = serializers.CharField()
    lot = serializers.CharField(source="lot.number")
    quantity = serializers.DecimalField(max_digits=18, decimal_places=3)


class ContainedSerializer(serializers.Serializer):
    lot = serializers.CharField(source="lot.number")
    material = serializers.CharField(source="lot.material.name")
    quantity = serializers.DecimalField(max_digits=18, decimal_places=3, allow_null=True)
    depth = serializers.IntegerField()
