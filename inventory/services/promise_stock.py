"""Put stock aside for a holder."""

from datetime import date, datetime
from decimal import Decimal

from django.db import IntegrityError, transaction
from django.db.models import F

from inventory.fields import quantity_value
from inventory.locking import lock_materials
from inventory.models import SHELF_STATES, Lot, Material, Promise
from inventory.stock_refusals import NotEnoughStock, PieceNotFree, check_quantity


@transaction.atomic
def promise_stock(
    *,
    material: Material,
    quantity: Decimal,
    holder: str,
    holder_name: str,
    now: datetime,
    lot: Lot | None = None,
    line: str = "",
    until: date | None = None,
) -> Promise:
    """Promise `quantity` (base units) of `material`, or the piece `lot`, to `holder`.

    Raises NotEnoughStock beyond what is free and PieceNotFree for a piece that isn't.
    """
    locked = lock_materials([material])[material.pk]
    quantity = check_quantity(locked, quantity)
    if lot is not None:
        _check_piece(lot)
    _put_aside(locked, quantity)
    try:
        with transaction.atomic():
            return Promise.objects.create(
                material=locked,
                lot=lot,
                holder=holder,
                holder_name=holder_name,
                line=line,
                quantity=quantity,
                outstanding=quantity,
                until=until,
                made_at=now,
            )
    except IntegrityError:
        if lot is None:
            raise
        raise PieceNotFree(lot, "is promised already") from None


def _check_piece(lot: Lot) -> None:
    fresh = Lot.objects.select_related("piece").get(pk=lot.pk)
    if fresh.remaining < 1 or fresh.piece.state not in SHELF_STATES:
        raise PieceNotFree(lot, f"is {fresh.piece.get_state_display()}, not on the shelf")
    taken = fresh.promises.filter(outstanding__gt=0).first()
    if taken:
        raise PieceNotFree(lot, f"is promised to {taken.holder_name}")


def _put_aside(material: Material, quantity: Decimal) -> None:
    """Raise the promised copy where that leaves nothing below zero: the last guard."""
    more = F("promised") + quantity_value(quantity)
    free = Material.objects.filter(pk=material.pk, on_hand__gte=more + F("unfit"))
    if not free.update(promised=more):
        raise NotEnoughStock(material, quantity)
