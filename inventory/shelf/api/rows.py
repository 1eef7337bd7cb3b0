"""Rows of stock as the API shows them. Quantities are in base units: mm, cm², ml, g, each."""

from decimal import Decimal
from typing import Any

from rest_framework import serializers

from inventory.base.api.examples import example
from inventory.base.api.fields import DecimalField
from inventory.base.api.views import Serializer
from inventory.base.calc.units import UNITS_BY_KIND
from inventory.models import (
    Family,
    KeptAs,
    Lot,
    Material,
    Photo,
    Piece,
    Place,
    Supplier,
)

SIZES = ("length_mm", "width_mm", "thickness_mm", "mass_g")


@example("a family", name="Tonewoods", position=1)
class FamilySerializer(Serializer):
    class Meta:
        model = Family
        fields = ["id", "name", "position"]


@example("a place", name="Rack 2, left")
class PlaceSerializer(Serializer):
    class Meta:
        model = Place
        fields = ["id", "name"]


@example(
    "a timber yard",
    name="Bramble & Sons Timber",
    contact="Tilly Bramble",
    email="yard@bramble.example",
    currency="EUR",
    lead_time_days=28,
)
class SupplierSerializer(Serializer):
    class Meta:
        model = Supplier
        fields = ["id", "name", "contact", "email", "currency", "lead_time_days", "note"]


@example(
    "fretwire by the length",
    name="Fretwire, medium",
    family=2,
    kept_as="length",
    cost_method="fifo",
    unit="m",
    supplier=1,
    lead_time_days=28,
    reorder_level="5000.000",
)
class MaterialSerializer(Serializer):
    """A material; on hand, reserved and cost follow the journal and are read-only."""

    family_name = serializers.CharField(source="family.name", read_only=True)
    base_unit = serializers.CharField(read_only=True)
    free = DecimalField(max_digits=18, decimal_places=3, read_only=True)

    class Meta:
        model = Material
        fields = [
            "id",
            "name",
            "family",
            "family_name",
            "kept_as",
            "cost_method",
            "unit",
            "base_unit",
            "supplier",
            "lead_time_days",
            "replacement_price",
            "replacement_checked_on",
            "realisable_price",
            "reorder_level",
            "caution",
            "note",
            "is_archived",
            "on_hand",
            "unfit",
            "promised",
            "free",
            "book_cost",
        ]
        read_only_fields = ["on_hand", "unfit", "promised", "book_cost"]
        extra_kwargs = {"reorder_level": {"min_value": Decimal(0)}}

    def validate(self, attrs: dict) -> dict:
        row = self.instance
        kept_as = attrs.get("kept_as", getattr(row, "kept_as", ""))
        unit = attrs.get("unit", getattr(row, "unit", ""))
        method = attrs.get("cost_method", getattr(row, "cost_method", "fifo"))
        fitting = {one.code for one in UNITS_BY_KIND[kept_as]}
        if unit not in fitting:
            words = ", ".join(sorted(fitting))
            raise serializers.ValidationError({"unit": f"Use one of {words} for {kept_as}."})
        if (kept_as == KeptAs.PIECE) != (method == "actual"):
            raise serializers.ValidationError(
                {
                    "cost_method": "Pieces have their own cost (actual). "
                    "Other stock is fifo or average."
                }
            )
        self._check_fixed(attrs)
        return attrs

    def _check_fixed(self, attrs: dict) -> None:
        row = self.instance
        if row is None:
            return
        changed = [
            name
            for name in ("kept_as", "cost_method")
            if name in attrs and attrs[name] != getattr(row, name)
        ]
        if changed and row.entries.exists():
            raise serializers.ValidationError(
                {changed[0]: "This can't be edited once the material has stock entries."}
            )


class PieceSerializer(Serializer):
    """A piece or matched set; sizes are those of one part."""

    number = serializers.CharField(source="lot.number", read_only=True)
    material = serializers.IntegerField(source="lot.material_id", read_only=True)
    remaining_cost = DecimalField(
        source="lot.remaining_cost", max_digits=18, decimal_places=3, read_only=True
    )

    class Meta:
        model = Piece
        fields = [
            "number",
            "material",
            "state",
            "parts",
            "length_mm",
            "width_mm",
            "thickness_mm",
            "mass_g",
            "is_ready",
            "grade",
            "felled_on",
            "remaining_cost",
        ]
        read_only_fields = ["state"]
        extra_kwargs = {
            "parts": {"min_value": 1, "max_value": 8},
            **{name: {"min_value": Decimal("0.001")} for name in SIZES},
        }


class SettledSerializer(serializers.Serializer):
    """A weighing, and whether the piece has settled by it."""

    number = serializers.CharField()
    grams = DecimalField(max_digits=15, decimal_places=3)
    on = serializers.DateField()
    ready = serializers.BooleanField()
    reason = serializers.CharField()


class PhotoSerializer(Serializer):
    """A picture of a lot or piece, without the place it was taken at."""

    lot = serializers.CharField(source="lot.number", read_only=True)

    class Meta:
        model = Photo
        fields = ["id", "lot", "note", "taken_on"]
        read_only_fields = fields


class LotSerializer(Serializer):
    """A lot: what came in together at one cost. A piece is a lot of one."""

    cut_from: Any = serializers.SlugRelatedField(
        slug_field="number",
        read_only=True,
        allow_null=True,
        help_text="The number of the piece that it was cut from.",
    )

    class Meta:
        model = Lot
        fields = [
            "number",
            "material",
            "supplier",
            "cut_from",
            "place",
            "received_on",
            "opened_on",
            "expires_on",
            "note",
            "remaining",
            "remaining_cost",
        ]
        read_only_fields = ["number", "material", "supplier", "cut_from", "received_on"]
