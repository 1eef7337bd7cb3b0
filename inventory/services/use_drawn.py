"""Say that what a holder drew and kept is used: it is in the instrument now."""

from datetime import datetime
from decimal import Decimal

from django.db import transaction

from inventory.locking import lock_materials
from inventory.models import Lot, PieceState, Reason, StockEntry
from inventory.services.post_entry import post_entry
from inventory.told import told


@transaction.atomic
def use_drawn(*, holder: str, now: datetime) -> list[StockEntry]:
    """Note of every piece that `holder` drew last and did not bring back that it was used."""
    drawn = StockEntry.objects.filter(holder=holder, reason=Reason.DRAWN, followed_by=None)
    lots = Lot.objects.filter(piece__gone=PieceState.DRAWN, entries__in=drawn).distinct()
    lots = lots.select_related("material").order_by("pk")
    lock_materials([lot.material for lot in lots])
    return [
        post_entry(
            material=lot.material,
            lot=lot,
            reason=Reason.USED,
            quantity=Decimal(0),
            cost=Decimal(0),
            told=told(now),
            holder=holder,
        )
        for lot in lots
    ]
