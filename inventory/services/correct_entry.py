"""Undo a stock entry by its counter-entry."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import F

from inventory.fields import quantity_value
from inventory.locking import lock_materials
from inventory.models import Lot, Material, Piece, PieceState, Promise, Reason, StockEntry
from inventory.refusals import Refusal
from inventory.services.post_entry import post_entry
from inventory.told import Told, told

CORRECTABLE = {Reason.RECEIVED, Reason.DRAWN, Reason.RETURNED, Reason.SCRAPPED, Reason.COUNTED}


@transaction.atomic
def correct_entry(
    *, entry: StockEntry, now: datetime, why: str = "", user: Any = None
) -> StockEntry:
    """Post the opposite of `entry` and give back the promises it used up.

    Raises Refusal when the entry has been corrected or had returns, is of a kind that is undone by
    an entry of its own, or brought in stock that has since been used.
    """
    material = lock_materials([entry.material])[entry.material_id]
    _check_can_be_corrected(entry)
    circumstances = told(now, None, user)
    counter = post_entry(
        material=material,
        lot=entry.lot,
        reason=Reason.CORRECTED,
        quantity=-entry.quantity,
        cost=-entry.cost,
        told=circumstances,
        holder=entry.holder,
        note=why,
        about=entry,
    )
    _give_back_promises(entry)
    _pass_on_the_rest(entry, circumstances)
    if entry.to_reconcile and entry.reconciled_at is None:
        entry.reconciled_at = now
        entry.save(update_fields=["reconciled_at"])
    if material.is_piece and entry.lot_id and entry.quantity < 0:
        Piece.objects.filter(pk=entry.lot_id).update(state=PieceState.READY)
    return counter


def _check_can_be_corrected(entry: StockEntry) -> None:
    if entry.followed_by.exists():
        raise Refusal("This entry has been corrected or returned already: see what followed it.")
    if entry.reason not in CORRECTABLE:
        raise Refusal(
            f"An entry “{entry.get_reason_display()}” is not corrected by itself. "
            "Receive or count the stock again instead."
        )
    lot = entry.lot
    if lot and entry.quantity > Lot.objects.get(pk=lot.pk).remaining:
        raise Refusal(
            f"Some of {lot.number} has been used since. Count the material instead, "
            "or correct what was drawn first."
        )


def _pass_on_the_rest(entry: StockEntry, circumstances: Told) -> None:
    """Leave no cost on a lot that is empty now: it belongs to whoever drew from it last."""
    empty = Lot.objects.filter(entries=entry.pk, remaining=0)
    lot = empty.exclude(remaining_cost=0).first()
    if lot is None:
        return
    last = lot.entries.filter(quantity__lt=0).exclude(reason=Reason.CORRECTED).first()
    post_entry(
        material=lot.material,
        lot=lot,
        reason=Reason.COST_MOVED,
        quantity=Decimal(0),
        cost=-lot.remaining_cost,
        told=circumstances,
        holder=last.holder if last else "",
        note="what was left on an empty lot",
    )


def _give_back_promises(entry: StockEntry) -> None:
    for use in entry.promise_uses.select_related("promise"):
        promise = use.promise
        if promise.lot_id and _is_promised_elsewhere(promise):
            continue
        promise.outstanding += use.quantity
        promise.ended_at = None
        promise.save(update_fields=["outstanding", "ended_at"])
        Material.objects.filter(pk=promise.material_id).update(
            promised=F("promised") + quantity_value(use.quantity)
        )


def _is_promised_elsewhere(promise: Promise) -> bool:
    return (
        Promise.objects.filter(lot=promise.lot_id, outstanding__gt=0)
        .exclude(pk=promise.pk)
        .exists()
    )
