"""Close a count: every difference goes into the journal."""

from datetime import datetime
from typing import Any

from django.db import transaction
from django.db.models import Sum

from inventory.locking import lock_materials
from inventory.models import Count, CountLine, DifferenceReason, Lot, StockEntry
from inventory.refusals import Refusal
from inventory.services.count_stock import count_stock


@transaction.atomic
def close_count(*, count: Count, now: datetime, user: Any = None) -> list[StockEntry]:
    """Book counted less expected for each lot counted, on top of what has moved since the freeze.

    Lots not counted stay as they are. Draws beyond the books of a material whose lots were all
    counted are settled. Raises Refusal when it is closed already.
    """
    fresh = Count.objects.select_for_update().get(pk=count.pk)
    if fresh.closed_at:
        raise Refusal("This count is closed already.")
    lines = list(fresh.lines.exclude(counted=None).select_related("material", "lot"))
    lock_materials([line.material for line in lines])
    entries: list[StockEntry] = []
    for line in lines:
        entries += _settle(line, now, user)
    for material in {line.material for line in lines}:
        entries += _settle_what_had_no_lot(fresh, material, now, user)
    fresh.closed_at = now
    fresh.save(update_fields=["closed_at"])
    return entries


def _settle(line: CountLine, now: datetime, user: Any) -> list[StockEntry]:
    lot = Lot.objects.get(pk=line.lot_id)
    counted = line.counted if line.counted is not None else line.expected
    wanted = lot.remaining + counted - line.expected
    if wanted == lot.remaining and not _waits(lot):
        return []
    words = DifferenceReason(line.reason).label if line.reason else ""
    return count_stock(
        material=line.material,
        lot=lot,
        counted=max(wanted, wanted * 0),
        why=": ".join(filter(None, (words, line.note))) or line.count.name,
        now=now,
        user=user,
    )


def _waits(lot: Lot) -> bool:
    return lot.entries.filter(to_reconcile=True, reconciled_at=None).exists()


def _settle_what_had_no_lot(count: Count, material: Any, now: datetime, user: Any) -> Any:
    """Settle draws that named no lot, once every lot of the material has been counted."""
    waiting = material.entries.filter(lot=None, to_reconcile=True, reconciled_at=None)
    uncounted = material.lots.exclude(remaining=0).exclude(count_lines__in=count.lines.all())
    if not waiting.exists() or uncounted.exists():
        return []
    held = material.lots.aggregate(quantity=Sum("remaining"))["quantity"]
    return count_stock(material=material, counted=max(held, held * 0), now=now, user=user)
