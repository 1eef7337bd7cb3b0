"""Send stock back to its supplier."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone

from inventory.calc.landed import respread_after_return
from inventory.calc.money import round_money
from inventory.locking import lock_materials
from inventory.models import Credit, Lot, Reason, StockEntry
from inventory.money import home_unit
from inventory.refusals import Refusal
from inventory.services.mark_broken_promises import mark_broken_promises
from inventory.services.post_entry import post_entry
from inventory.stock_refusals import check_quantity
from inventory.told import Told, told


@transaction.atomic
def send_back(
    *,
    lot: Lot,
    quantity: Decimal,
    credit: Decimal,
    now: datetime,
    why: str = "",
    user: Any = None,
) -> StockEntry:
    """Take `quantity` of `lot` off the shelf for `credit`, what the supplier gives for it.

    What is not credited, such as carriage, stays on the stock kept of the same delivery line; when
    none is kept it is a loss of its own. Raises Refusal beyond what the lot still holds.
    """
    material = lock_materials([lot.material])[lot.material_id]
    lot.refresh_from_db()
    quantity = check_quantity(material, quantity)
    if quantity > lot.remaining:
        raise Refusal(f"{lot.number} no longer has that much to send back.", field="quantity")
    circumstances = told(now, None, user)
    entry = post_entry(
        material=material,
        lot=lot,
        reason=Reason.SENT_BACK,
        quantity=-quantity,
        cost=-credit,
        told=circumstances,
        note=why,
    )
    mark_broken_promises(entries=[entry], material=material)
    if lot.supplier and credit:
        Credit.objects.create(
            supplier=lot.supplier,
            entry=entry,
            amount=credit,
            given_on=timezone.localtime(now).date(),
            note=why[:200],
        )
    if quantity == lot.remaining:
        _leave_the_rest_to_sisters(lot, credit, circumstances)
    return entry


def _leave_the_rest_to_sisters(lot: Lot, credit: Decimal, circumstances: Told) -> None:
    """Move the cost that `lot` leaves behind onto what is kept of its delivery line."""
    sisters = list(
        Lot.objects.filter(delivery_line=lot.delivery_line, remaining__gt=0).exclude(pk=lot.pk)
        if lot.delivery_line_id
        else []
    )
    whole = lot.remaining_cost + sum((sister.remaining_cost for sister in sisters), Decimal(0))
    spread = respread_after_return(whole, credit, len(sisters), home_unit())
    rest = lot.remaining_cost - credit
    if not rest:
        return
    _move_cost(lot, -rest, circumstances, "not credited")
    for sister, cost in zip(sisters, spread.costs, strict=True):
        _move_cost(sister, cost - sister.remaining_cost, circumstances, f"from {lot.number}")


def _move_cost(lot: Lot, amount: Decimal, circumstances: Told, note: str) -> None:
    if amount:
        post_entry(
            material=lot.material,
            lot=lot,
            reason=Reason.COST_MOVED,
            quantity=Decimal(0),
            cost=round_money(amount, home_unit()),
            told=circumstances,
            note=note,
        )
