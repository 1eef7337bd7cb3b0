"""Freeze the books of a place, or of everything, to be counted."""

from datetime import datetime
from decimal import Decimal

from django.db import transaction
from django.db.models import Q, Sum

from inventory.models import Count, CountLine, Lot, Place, StockEntry
from inventory.refusals import Refusal


@transaction.atomic
def start_count(
    *,
    name: str,
    now: datetime,
    frozen_at: datetime | None = None,
    place: Place | None = None,
    is_blind: bool = False,
) -> Count:
    """Keep what the books say of every lot there; what moves later does not disturb it.

    The books are frozen at `now`, or as they stood at `frozen_at`, such as the end of the year.
    Raises Refusal when there is nothing to count, or that moment is still to come.
    """
    if frozen_at is not None and frozen_at > now:
        raise Refusal("That day is not over yet.", field="on")
    moved = _moved_since(frozen_at) if frozen_at else {}
    lots = Lot.objects.filter(~Q(remaining=0) | Q(pk__in=moved)).select_related("material")
    lots = lots.filter(place=place) if place else lots
    count = Count.objects.create(
        name=name, place=place, is_blind=is_blind, frozen_at=frozen_at or now, begun_at=now
    )
    lines = [
        CountLine(count=count, material=lot.material, lot=lot, expected=expected)
        for lot in lots
        if (expected := lot.remaining - moved.get(lot.pk, Decimal(0)))
    ]
    if not lines:
        raise Refusal(f"Nothing lies {'at ' + place.name if place else 'on the shelf'} to count.")
    CountLine.objects.bulk_create(lines, batch_size=1000)
    return count


def _moved_since(moment: datetime) -> dict[int, Decimal]:
    """What came to or went from each lot since `moment`, by its key."""
    entries = StockEntry.objects.filter(happened_at__gt=moment, lot__isnull=False).order_by()
    return dict(entries.values_list("lot").annotate(Sum("quantity")))
