"""Close a count: every difference goes into the journal."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import Sum

from inventory.locking import lock_materials
from inventory.models import Count, CountLine, DifferenceReason, Lot, Material, StockEntry
from inventory.queries.counting import differences_of
from inventory.refusals import Refusal
from inventory.services.count_stock import count_stock


@transaction.atomic
def close_count(*, count: Count, now: datetime, user: Any = None) -> list[StockEntry]:
    """Book what each counted lot differs by, on top of what has moved since the freeze.

    Differences stand in the journal at the freeze, so that the stock of that day is what was
    counted. Lots not counted stay as they are. Draws beyond the books of a material whose lots
    were all counted are settled. Raises Refusal when it is closed already.
    """
    fresh = Count.objects.select_for_update().get(pk=count.pk)
    if fresh.closed_at:
        raise Refusal("This count is closed already.")
    lines = list(fresh.lines.exclude(counted=None).select_related("material"))
    lock_materials([line.material for line in lines])
    lots = Lot.objects.in_bulk([line.lot_id for line in lines])
    waiting = StockEntry.objects.filter(lot__in=lots, to_reconcile=True, reconciled_at=None)
    to_settle = set(waiting.values_list("lot", flat=True))
    entries: list[StockEntry] = []
    for line, difference in differences_of(fresh, lines):
        if difference or line.lot_id in to_settle:
            entries += _settle(line, lots[line.lot_id], difference, fresh, now, user)
    for material in {line.material for line in lines}:
        entries += _settle_what_had_no_lot(fresh, material, now, user)
    fresh.closed_at = now
    fresh.save(update_fields=["closed_at"])
    return entries


def _settle(
    line: CountLine, lot: Lot, difference: Decimal, count: Count, now: datetime, user: Any
) -> list[StockEntry]:
    words = DifferenceReason(line.reason).label if line.reason else ""
    return count_stock(
        material=line.material,
        lot=lot,
        counted=max(lot.remaining + difference, Decimal(0)),
        why=": ".join(filter(None, (words, line.note))) or count.name,
        now=now,
        booked_at=count.frozen_at,
        user=user,
    )


def _settle_what_had_no_lot(count: Count, material: Material, now: datetime, user: Any) -> Any:
    """Settle draws that named no lot, once every lot of the material has been counted."""
    waiting = material.entries.filter(lot=None, to_reconcile=True, reconciled_at=None)
    uncounted = material.lots.exclude(remaining=0).exclude(count_lines__in=count.lines.all())
    if not waiting.exists() or uncounted.exists():
        return []
    held = material.lots.aggregate(quantity=Sum("remaining"))["quantity"]
    return count_stock(material=material, counted=max(held, held * 0), now=now, user=user)
