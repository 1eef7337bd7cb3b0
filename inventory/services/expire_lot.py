"""Write off what has expired."""

from datetime import datetime
from typing import Any

from django.db import transaction

from inventory.locking import lock_materials
from inventory.models import Lot, StockEntry
from inventory.refusals import Refusal
from inventory.services.scrap_stock import scrap_stock


@transaction.atomic
def expire_lot(*, lot: Lot, now: datetime, why: str = "", user: Any = None) -> list[StockEntry]:
    """Take what is left of `lot` to nil, with its cost; `why` is *expired* unless said otherwise.

    Raises Refusal when nothing is left of it.
    """
    material = lock_materials([lot.material])[lot.material_id]
    lot.refresh_from_db()
    if lot.remaining <= 0:
        raise Refusal(f"Nothing is left of {lot.number}.")
    said = why.strip() or ("expired" if lot.expires_on is None else f"expired {lot.expires_on}")
    return scrap_stock(
        material=material, quantity=lot.remaining, lot=lot, why=said, now=now, user=user
    )
