"""Counts under way and done."""

from django.db.models import Count as Number
from django.db.models import F, Q, QuerySet

from inventory.models import Count, CountLine


def counts() -> QuerySet[Count]:
    """Every count, the latest first, with how many lines it has and how many are counted."""
    rows = Count.objects.select_related("place").annotate(
        line_count=Number("lines"), done=Number("lines", filter=Q(lines__counted__isnull=False))
    )
    return rows.order_by("-frozen_at")


def lines_of(count: Count) -> QuerySet[CountLine]:
    """The lines of a count, by place, material and number; what has no place comes last."""
    by_place = F("lot__place__name").asc(nulls_last=True)
    rows = count.lines.select_related("material", "lot__place", "lot__piece")
    return rows.order_by(by_place, "material__name", "lot__number")
