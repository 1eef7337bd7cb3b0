"""Draw stock for a build."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import F

from inventory.fields import quantity_value
from inventory.locking import lock_materials
from inventory.models import Lot, Material, Promise, PromiseUse, Reason, StockEntry
from inventory.services.take_from_shelf import take_from_shelf
from inventory.stock_refusals import check_quantity
from inventory.told import told


@transaction.atomic
def draw_stock(
    *,
    material: Material,
    quantity: Decimal,
    holder: str,
    now: datetime,
    happened_at: datetime | None = None,
    lot: Lot | None = None,
    line: str = "",
    note: str = "",
    user: Any = None,
) -> list[StockEntry]:
    """Take `quantity` (base units) for `holder`, using up its promises first.

    Never refuses for lack of stock: what the books don't have, and a piece that is promised to
    somebody else, is drawn and marked to be reconciled.
    """
    locked = lock_materials([material])[material.pk]
    quantity = check_quantity(locked, quantity)
    entries = take_from_shelf(
        material=locked,
        quantity=quantity,
        reason=Reason.DRAWN,
        told=told(now, happened_at, user),
        lot=lot,
        holder=holder,
        note=note,
    )
    _use_promises(entries, locked, holder, line, now)
    _mark_taken_from_others(entries, holder)
    return entries


def _use_promises(
    entries: list[StockEntry], material: Material, holder: str, line: str, now: datetime
) -> None:
    open_ones = list(Promise.objects.filter(material=material, holder=holder, outstanding__gt=0))
    for entry in entries:
        wanted = -entry.quantity
        for promise in sorted(open_ones, key=lambda one: _fitness(one, entry, line)):
            used = min(wanted, promise.outstanding)
            if used <= 0:
                continue
            wanted -= used
            _use(promise, entry, used, now)


def _fitness(promise: Promise, entry: StockEntry, line: str) -> tuple[bool, bool, int]:
    """Sort first the promise of this very piece, then that of the same line, then the oldest."""
    same_piece = promise.lot_id is not None and promise.lot_id == entry.lot_id
    return (not same_piece, promise.line != line, promise.pk)


def _use(promise: Promise, entry: StockEntry, used: Decimal, now: datetime) -> None:
    PromiseUse.objects.create(promise=promise, entry=entry, quantity=used)
    Material.objects.filter(pk=promise.material_id).update(
        promised=F("promised") - quantity_value(used)
    )
    promise.outstanding -= used
    promise.ended_at = None if promise.outstanding else now
    promise.save(update_fields=["outstanding", "ended_at"])


def _mark_taken_from_others(entries: list[StockEntry], holder: str) -> None:
    lots = [entry.lot_id for entry in entries if entry.lot_id]
    taken = set(
        Promise.objects.filter(lot__in=lots, outstanding__gt=0)
        .exclude(holder=holder)
        .values_list("lot_id", flat=True)
    )
    for entry in entries:
        if entry.lot_id in taken and not entry.to_reconcile:
            entry.to_reconcile = True
            entry.save(update_fields=["to_reconcile"])
