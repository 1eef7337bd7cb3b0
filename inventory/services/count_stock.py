"""Say what is really there: a count settles every difference between shelf and books."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import Sum
from django.utils import timezone

from inventory.arrivals import PieceFacts
from inventory.calc.money import round_money
from inventory.calc.units import round_quantity
from inventory.locking import lock_materials
from inventory.models import Lot, Material, Reason, StockEntry
from inventory.money import home_unit, replacement_cost
from inventory.refusals import Refusal
from inventory.services.make_lot import make_lot
from inventory.services.post_entry import post_entry
from inventory.services.take_from_shelf import take_from_shelf
from inventory.told import Told, told


@transaction.atomic
def count_stock(
    *,
    material: Material,
    counted: Decimal,
    now: datetime,
    happened_at: datetime | None = None,
    booked_at: datetime | None = None,
    lot: Lot | None = None,
    why: str = "",
    user: Any = None,
) -> list[StockEntry]:
    """Make the books agree with `counted` base units of `material`, or of `lot` alone.

    What came and went between `happened_at` and `now` is added to a count told late. A difference
    that is known to have been there at `booked_at` stands in the journal at that moment. Draws that
    waited to be reconciled are settled. Less than the books say is a count difference at its own
    cost; more comes in at the cost of the last lot, or at replacement price.
    """
    if counted < 0:
        raise Refusal("A count is 0 or more.", field="counted")
    locked = lock_materials([material])[material.pk]
    _check_pieces(locked, lot, round_quantity(counted))
    circumstances = told(now, booked_at or happened_at, user)
    there = round_quantity(counted) + _moved_since(locked, lot, happened_at)
    entries = _settle_shortfalls(locked, lot, circumstances)
    difference = max(there, Decimal(0)) - _in_the_books(locked, lot)
    if difference < 0:
        entries += take_from_shelf(
            material=locked,
            quantity=-difference,
            reason=Reason.COUNTED,
            told=circumstances,
            lot=lot,
            note=why,
        )
    elif difference > 0:
        entries += _find(locked, lot, difference, circumstances, why)
    _leave_nothing_waiting(entries, circumstances)
    return entries


def _leave_nothing_waiting(entries: list[StockEntry], circumstances: Told) -> None:
    """A difference that no lot can bear is settled all the same: this is the count."""
    for entry in entries:
        if entry.to_reconcile:
            entry.reconciled_at = circumstances.recorded_at
            entry.save(update_fields=["reconciled_at"])


def _moved_since(material: Material, lot: Lot | None, counted_at: datetime | None) -> Decimal:
    if counted_at is None:
        return Decimal(0)
    moved = material.entries.filter(happened_at__gt=counted_at)
    if lot is not None:
        moved = moved.filter(lot=lot)
    total: Decimal | None = moved.order_by().aggregate(quantity=Sum("quantity"))["quantity"]
    return total or Decimal(0)


def _settle_shortfalls(
    material: Material, lot: Lot | None, circumstances: Told
) -> list[StockEntry]:
    """Bring what was drawn beyond the books back to nothing: it was there after all."""
    waiting = material.entries.filter(to_reconcile=True, reconciled_at=None)
    if lot is not None:
        waiting = waiting.filter(lot=lot)
    settled = []
    for own in {entry.lot for entry in waiting.select_related("lot")}:
        below, cost = _below_the_books(material, own)
        if below < 0:
            settled.append(
                post_entry(
                    material=material,
                    lot=own,
                    reason=Reason.COUNTED,
                    quantity=-below,
                    cost=-cost,
                    told=circumstances,
                    note="drawn beyond the books",
                )
            )
    waiting.update(reconciled_at=circumstances.recorded_at)
    return settled


def _below_the_books(material: Material, lot: Lot | None) -> tuple[Decimal, Decimal]:
    if lot is not None:
        return lot.remaining, lot.remaining_cost
    held = material.lots.aggregate(quantity=Sum("remaining"), cost=Sum("remaining_cost"))
    return (
        material.on_hand - (held["quantity"] or Decimal(0)),
        material.book_cost - (held["cost"] or Decimal(0)),
    )


def _in_the_books(material: Material, lot: Lot | None) -> Decimal:
    source = Lot.objects.get(pk=lot.pk) if lot else Material.objects.get(pk=material.pk)
    return source.remaining if isinstance(source, Lot) else source.on_hand


def _check_pieces(material: Material, lot: Lot | None, counted: Decimal) -> None:
    if material.is_piece and counted % 1:
        raise Refusal(f"{material} is kept by the piece: whole numbers only.", field="counted")
    if material.is_piece and lot is not None and counted > 1:
        raise Refusal(f"{lot.number} is one piece: count 0 or 1 of it.", field="counted")


def _find(
    material: Material, lot: Lot | None, quantity: Decimal, circumstances: Told, why: str
) -> list[StockEntry]:
    """Book found stock into `lot`, the last lot, or a new one; each found piece is one of its own.

    A piece that turns up without a number is taken to be ready.
    """
    if material.is_piece and lot is None:
        homes = [_new_lot(material, circumstances) for _ in range(int(quantity))]
        return [_book(material, home, Decimal(1), circumstances, why) for home in homes]
    home = lot or material.lots.order_by("received_on", "pk").last()
    home = home or _new_lot(material, circumstances)
    return [_book(material, home, quantity, circumstances, why)]


def _new_lot(material: Material, circumstances: Told) -> Lot:
    on = timezone.localtime(circumstances.happened_at).date()
    return make_lot(material=material, received_on=on, piece=PieceFacts(is_ready=True))


def _book(
    material: Material, home: Lot, quantity: Decimal, circumstances: Told, why: str
) -> StockEntry:
    return post_entry(
        material=material,
        lot=home,
        reason=Reason.COUNTED,
        quantity=quantity,
        cost=_worth(material, home, quantity),
        told=circumstances,
        note=why,
    )


def _worth(material: Material, lot: Lot, quantity: Decimal) -> Decimal:
    """Return what found stock costs: as the lot's first entry did, or at replacement price."""
    first = lot.entries.filter(quantity__gt=0).order_by("pk").first()
    if first:
        return round_money(first.cost * quantity / first.quantity, home_unit())
    return replacement_cost(material, quantity)
