"""Acts: the entries of the journal that were written at once, and stand or fall together."""

from collections.abc import Iterable

from django.db.models import Exists, OuterRef, Q, prefetch_related_objects

from inventory.models import Lot, Reason, StockEntry

ALONE = {Reason.RECEIVED, Reason.DRAWN, Reason.RETURNED, Reason.SCRAPPED, Reason.COUNTED}
"""Reasons whose entries can be undone one by one, unless more hangs on them."""

BOUND = set(Reason) - ALONE - {Reason.COST_MOVED, Reason.USED, Reason.CORRECTED}
"""Reasons that are only taken back as a whole."""


def posting_group(entry: StockEntry) -> list[StockEntry]:
    """Everything that was written in the same act as `entry`, in the order it was written."""
    first = entry.act_id or entry.pk
    rows = StockEntry.objects.filter(Q(pk=first) | Q(act=first)).order_by("pk")
    return list(rows.select_related("material", "lot", "recorded_by", "sale"))


def with_follow_ups(act: list[StockEntry]) -> list[StockEntry]:
    """Give every entry of `act` what corrected it or came back of it, in one query."""
    prefetch_related_objects(act, "followed_by")
    return act


def can_be_reversed_alone(act: Iterable[StockEntry]) -> bool:
    """Whether the entries of `act` can be undone one by one."""
    return all(entry.reason in ALONE for entry in act)


def reversed_together(entry: StockEntry) -> list[StockEntry]:
    """What has to be undone with `entry`: itself alone, or its whole act."""
    act = posting_group(entry)
    return [entry] if can_be_reversed_alone(act) else act


def first_entries_of(lots: Iterable[Lot]) -> list[StockEntry]:
    """The first entries of the acts that brought `lots` in, one for each act."""
    brought = StockEntry.objects.filter(lot__in=list(lots), quantity__gt=0).order_by("pk")
    heads = {entry.act_id or entry.pk for entry in brought}
    return list(StockEntry.objects.filter(pk__in=heads).order_by("pk"))


def is_taken_back() -> Q:
    """Price notes of a line of a delivery that was booked by mistake: none of it stands."""
    standing = StockEntry.objects.filter(
        reason=Reason.RECEIVED, lot__delivery_line=OuterRef("delivery_line")
    ).exclude(followed_by__reason=Reason.CORRECTED)
    return Q(delivery_line__isnull=False) & ~Q(Exists(standing))
