"""Freeze the books of a place, or of everything, to be counted."""

from datetime import datetime

from django.db import transaction

from inventory.models import Count, CountLine, Lot, Place
from inventory.refusals import Refusal


@transaction.atomic
def start_count(
    *, name: str, now: datetime, place: Place | None = None, is_blind: bool = False
) -> Count:
    """Keep what the books say of every lot there at `now`; what moves later does not disturb it.

    Raises Refusal when there is nothing to count.
    """
    lots = Lot.objects.exclude(remaining=0).select_related("material")
    lots = lots.filter(place=place) if place else lots
    count = Count.objects.create(name=name, place=place, is_blind=is_blind, frozen_at=now)
    lines = [
        CountLine(count=count, material=lot.material, lot=lot, expected=lot.remaining)
        for lot in lots
    ]
    if not lines:
        raise Refusal(f"Nothing lies {'at ' + place.name if place else 'on the shelf'} to count.")
    CountLine.objects.bulk_create(lines, batch_size=1000)
    return count
