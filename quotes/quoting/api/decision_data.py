"""How a yes, a no, a copy and a hold look in the API."""

from collections.abc import Mapping
from typing import Any

from rest_framework import serializers

from inventory.base.api.examples import example
from inventory.base.api.fields import ApiLotField, DecimalField
from inventory.models import Lot
from quotes.models import Client
from quotes.quoting.api.instrument_data import FurtherBuildData
from quotes.quoting.services.decide import Acceptance
from shop.builds.queries.needs import lines_unnamed


class ChosenPiece(serializers.Serializer):
    """A piece for a material row; it may be of another material kept as pieces."""

    row = serializers.IntegerField()
    lot = ApiLotField(
        allow_null=True, help_text="The number of a piece; null: the best one available."
    )


class PiecesAsked(serializers.Serializer):
    """Pieces chosen in place of those that are held for the quote, or named in it."""

    pieces = ChosenPiece(many=True, required=False)


def chosen_in(asked: Mapping[str, Any]) -> dict[int, Lot | None]:
    """Return the pieces of `asked` by the key of their row."""
    return {one["row"]: one["lot"] for one in asked.get("pieces", [])}


@example(
    "with a set of the client's choice", by="Osric Pondweed", pieces=[{"row": 31, "lot": "T-0412"}]
)
class AcceptAsked(PiecesAsked):
    """Who said yes, and which pieces."""

    by = serializers.CharField(required=False, allow_blank=True, max_length=120)


@example("too dear", by="Osric Pondweed", reason="More than the client saved up.")
class DeclineAsked(serializers.Serializer):
    """Who said no, and why."""

    by = serializers.CharField(required=False, allow_blank=True, max_length=120)
    reason = serializers.CharField(required=False, allow_blank=True, max_length=300)


@example("for somebody else", client=2, title="Solid electric bouzouki")
class CopyAsked(serializers.Serializer):
    """Whom the copy is for; left out, the same commission."""

    client = serializers.PrimaryKeyRelatedField(queryset=Client.objects.all(), required=False)
    title = serializers.CharField(required=False, allow_blank=True, max_length=160)


@example("for two weeks", until="2027-03-23")
class HoldAsked(PiecesAsked):
    """The last day of a hold, and which pieces."""

    until = serializers.DateField()


class ShortData(serializers.Serializer):
    """What a line lacks, in base units, and when it could be here."""

    line = serializers.CharField(source="line.name")
    material = serializers.IntegerField(source="line.material_id")
    missing = DecimalField(max_digits=18, decimal_places=3)
    free = DecimalField(max_digits=18, decimal_places=3)
    supplier = serializers.CharField(source="supplier_name")
    here_by = serializers.DateField(allow_null=True)


class AcceptedData(serializers.Serializer):
    """The build that an accepted quote became, and what is short for it."""

    build = serializers.IntegerField(source="build.pk")
    serial = serializers.CharField(source="build.serial")
    further = FurtherBuildData(many=True, help_text="The builds of the order's other instruments.")
    shortages = ShortData(many=True)
    lines_unnamed = serializers.SerializerMethodField(
        help_text="How many lines of the build name no material of the shop yet."
    )

    def get_lines_unnamed(self, accepted: Acceptance) -> int:
        return sum(lines_unnamed(build) for build in (accepted.build, *accepted.further))


class HoldData(serializers.Serializer):
    """Stock that is held for one row of a quote; quantities in base units.

    `lacking` is no longer available: reserve another.
    """

    name = serializers.CharField()
    material = serializers.IntegerField(source="material.pk")
    lot = serializers.CharField(source="lot.number", default=None, allow_null=True)
    quantity = DecimalField(max_digits=18, decimal_places=3)
    lacking = DecimalField(max_digits=18, decimal_places=3)
    lost = serializers.CharField(help_text="What is no longer available, in words.")


class HeldData(serializers.Serializer):
    """What could not be held."""

    name = serializers.CharField()
    missing = DecimalField(max_digits=18, decimal_places=3)
