"""Bring back to the shelf what was drawn and not used."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import Sum

from inventory.calc.money import round_money
from inventory.locking import lock_materials
from inventory.models import Reason, StockEntry
from inventory.money import home_unit
from inventory.refusals import Refusal
from inventory.services.post_entry import post_entry
from inventory.stock_refusals import check_quantity, in_words
from inventory.told import told


@transaction.atomic
def return_stock(
    *,
    entry: StockEntry,
    quantity: Decimal,
    now: datetime,
    happened_at: datetime | None = None,
    user: Any = None,
) -> StockEntry:
    """Put `quantity` of a draw back into its lot, at the cost it was drawn at.

    Returns in parts cut the draw's cost by running totals, so that they add up to it.
    """
    material = lock_materials([entry.material])[entry.material_id]
    quantity = check_quantity(material, quantity)
    back, cost_back = _back_so_far(entry)
    drawn = -entry.quantity
    if entry.reason != Reason.DRAWN or back + quantity > drawn:
        still_out = in_words(max(drawn - back, Decimal(0)), material)
        raise Refusal(
            f"Only what was drawn can come back: {still_out} of this draw is still out.",
            field="quantity",
        )
    due = round_money(-entry.cost * (back + quantity) / drawn, home_unit())
    return post_entry(
        material=material,
        lot=entry.lot,
        reason=Reason.RETURNED,
        quantity=quantity,
        cost=due - cost_back,
        told=told(now, happened_at, user),
        holder=entry.holder,
        line=entry.line,
        about=entry,
    )


def _back_so_far(entry: StockEntry) -> tuple[Decimal, Decimal]:
    sums = entry.followed_by.aggregate(quantity=Sum("quantity"), cost=Sum("cost"))
    return sums["quantity"] or Decimal(0), sums["cost"] or Decimal(0)
