"""Bring back to the shelf what was drawn for a build and not used."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.models import StockEntry
from inventory.services.return_stock import return_stock
from shop.models import BuildDraw


@transaction.atomic
def return_from_build(
    *,
    draw: BuildDraw,
    quantity: Decimal,
    now: datetime,
    happened_at: datetime | None = None,
    user: Any = None,
) -> StockEntry:
    """Return `quantity` (base units) of `draw`, at the cost it was drawn at.

    Raises Refusal beyond what of it is still out.
    """
    return return_stock(
        entry=draw.entry, quantity=quantity, now=now, happened_at=happened_at, user=user
    )
