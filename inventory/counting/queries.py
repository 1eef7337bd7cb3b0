"""Counts under way and done."""

from collections.abc import Iterable
from decimal import Decimal

from django.db.models import Count as Number
from django.db.models import F, OuterRef, Q, QuerySet, Subquery, Sum

from inventory.models import Count, CountLine, StockEntry


def counts() -> QuerySet[Count]:
    """Every count, the latest first, with how many lines it has and how many are counted."""
    rows = Count.objects.select_related("place").annotate(
        line_count=Number("lines"), done=Number("lines", filter=Q(lines__counted__isnull=False))
    )
    return rows.order_by("-begun_at")


def lines_of(count: Count) -> QuerySet[CountLine]:
    """The lines of a count, by place, material and number; what has no place comes last.

    `moved` is what came to or went from the lot since the freeze, None where nothing did.
    """
    since = StockEntry.objects.filter(lot=OuterRef("lot"), **_since(count)).order_by()
    by_place = F("lot__place__name").asc(nulls_last=True)
    rows = count.lines.select_related("material", "lot__place", "lot__piece").annotate(
        moved=Subquery(since.values("lot").annotate(moved=Sum("quantity")).values("moved"))
    )
    return rows.order_by(by_place, "material__name", "lot__number")


def differences_of(count: Count, lines: Iterable[CountLine]) -> list[tuple[CountLine, Decimal]]:
    """By how much each counted line differs from the books as they stood at the freeze.

    What was told after the count began and had happened before the freeze belongs to the books.
    """
    late = StockEntry.objects.filter(
        lot__count_lines__count=count,
        recorded_at__gt=count.begun_at,
        happened_at__lte=count.frozen_at,
    )
    if count.closed_at:
        late = late.filter(recorded_at__lt=count.closed_at)  # the differences themselves are later
    told_late = dict(late.order_by().values_list("lot").annotate(Sum("quantity")))
    return [
        (line, line.counted - line.expected - told_late.get(line.lot_id, Decimal(0)))
        for line in lines
        if line.counted is not None
    ]


def _since(count: Count) -> dict[str, object]:
    return {"happened_at__gt": count.frozen_at, "recorded_at__gt": count.frozen_at}
