"""Write off what has expired."""

from datetime import date, datetime
from typing import Any

from django.db import transaction
from django.utils import timezone

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
    said = why.strip() or _expired(lot, timezone.localtime(now).date())
    return scrap_stock(
        material=material, quantity=lot.remaining, lot=lot, why=said, now=now, user=user
    )


def _expired(lot: Lot, on: date) -> str:
    if lot.expires_on is None:
        return "expired"
    words = "expired" if lot.expires_on <= on else "written off, though good until"
    return f"{words} {lot.expires_on.day} {lot.expires_on:%b %Y}"
