"""Draw stock for a build."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.locking import lock_materials
from inventory.models import Lot, Material, Reason, StockEntry
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
    return take_from_shelf(
        material=locked,
        quantity=check_quantity(locked, quantity),
        reason=Reason.DRAWN,
        told=told(now, happened_at, user),
        lot=lot,
        holder=holder,
        line=line,
        note=note,
    )
