"""Scrap stock: cracked, bored in the wrong place, set badly, dried up."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.locking import lock_materials
from inventory.models import Lot, Material, Reason, StockEntry
from inventory.refusals import Refusal
from inventory.services.take_from_shelf import take_from_shelf
from inventory.stock_refusals import check_quantity
from inventory.told import told


@transaction.atomic
def scrap_stock(
    *,
    material: Material,
    quantity: Decimal,
    why: str,
    now: datetime,
    happened_at: datetime | None = None,
    lot: Lot | None = None,
    holder: str = "",
    user: Any = None,
) -> list[StockEntry]:
    """Take `quantity` off the shelf as lost, for `holder`'s account when one is named.

    What was drawn for a build and spoilt there is no longer on the shelf: draw its replacement.
    """
    if not why.strip():
        raise Refusal("Say why it was scrapped, in a few words.", field="why")
    locked = lock_materials([material])[material.pk]
    return take_from_shelf(
        material=locked,
        quantity=check_quantity(locked, quantity),
        reason=Reason.SCRAPPED,
        told=told(now, happened_at, user),
        lot=lot,
        holder=holder,
        note=why,
    )
