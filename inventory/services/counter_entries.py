"""Post the opposite of entries, and give back the promises they used up."""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import F

from inventory.fields import quantity_value
from inventory.models import Lot, Material, Order, OrderLine, Promise, Reason, StockEntry
from inventory.refusals import Refusal
from inventory.services.post_entry import post_entry
from inventory.told import Told, told


@transaction.atomic
def counter_entries(
    *, entries: Sequence[StockEntry], now: datetime, why: str = "", user: Any = None
) -> list[StockEntry]:
    """Counter every one of `entries` in one act, the last first; the caller holds the locks.

    Raises Refusal when one has been corrected or had returns, brought in stock that has since been
    used, or took a piece that has turned up since.
    """
    circumstances = told(now, None, user)
    newest_first = sorted(entries, key=lambda entry: entry.pk, reverse=True)
    counters = [_counter(entry, circumstances, why) for entry in newest_first]
    for entry in newest_first:
        _pass_on_the_rest(entry, circumstances)
    return counters


def _counter(entry: StockEntry, circumstances: Told, why: str) -> StockEntry:
    _check(entry)
    counter = post_entry(
        material=entry.material,
        lot=entry.lot,
        reason=Reason.CORRECTED,
        quantity=-entry.quantity,
        cost=-entry.cost,
        told=circumstances,
        holder=entry.holder,
        line=entry.line,
        note=why,
        about=entry,
    )
    _give_back_promises(entry)
    _take_off_order(entry)
    if entry.to_reconcile and entry.reconciled_at is None:
        entry.reconciled_at = circumstances.recorded_at
        entry.save(update_fields=["reconciled_at"])
    return counter


def _check(entry: StockEntry) -> None:
    if entry.followed_by.exists():
        raise Refusal("This entry has been corrected or returned already: see what followed it.")
    if entry.lot_id is None:
        return
    lot = Lot.objects.get(pk=entry.lot_id)
    if entry.quantity > lot.remaining:
        raise Refusal(
            f"Some of {lot.number} has been used since. Count the material instead, "
            "or correct what was drawn first."
        )
    if entry.material.is_piece and entry.quantity < 0 < lot.remaining:
        raise Refusal(f"{lot.number} is on the shelf again already: nothing is left to undo.")


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


def _take_off_order(entry: StockEntry) -> None:
    """What was booked in by mistake has still to come: its order is open again."""
    line = entry.lot.delivery_line if entry.lot else None
    if entry.reason != Reason.RECEIVED or line is None or line.order_line_id is None:
        return
    ordered = OrderLine.objects.filter(pk=line.order_line_id)
    ordered.update(received=F("received") - quantity_value(entry.quantity))
    closed_by_it = Order.objects.filter(lines=line.order_line_id)
    closed_by_it.filter(closed_on=line.delivery.received_on).update(closed_on=None)
