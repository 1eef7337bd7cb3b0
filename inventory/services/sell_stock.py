"""Sell stock from the rack, as it is."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.locking import lock_materials
from inventory.models import Lot, Material, Reason, Sale
from inventory.refusals import Refusal
from inventory.services.take_from_shelf import take_from_shelf
from inventory.stock_refusals import check_quantity
from inventory.told import told


@transaction.atomic
def sell_stock(
    *,
    material: Material,
    quantity: Decimal,
    to: str,
    price: Decimal,
    now: datetime,
    happened_at: datetime | None = None,
    lot: Lot | None = None,
    user: Any = None,
) -> Sale:
    """Take `quantity` (base units) off the shelf at its cost; keep who took it and what it fetched.

    `price` is home money for all of it, net of tax. What was promised to somebody is sold all the
    same and marked to be reconciled. Raises Refusal without a buyer.
    """
    if not to.strip():
        raise Refusal("Say in a word to whom it was sold.", field="to")
    if price < 0:
        raise Refusal("What it fetched is 0 or more.", field="price")
    locked = lock_materials([material])[material.pk]
    entries = take_from_shelf(
        material=locked,
        quantity=check_quantity(locked, quantity),
        reason=Reason.SOLD,
        told=told(now, happened_at, user),
        lot=lot,
        note=f"to {to.strip()}",
    )
    return Sale.objects.create(entry=entries[0], to=to.strip(), price=price)
