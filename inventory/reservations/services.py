"""Reserve stock for a holder, and release it again."""

from datetime import date, datetime
from decimal import Decimal

from django.db import IntegrityError, transaction
from django.db.models import F

from inventory.fields import quantity_value
from inventory.ledger.locking import lock_materials
from inventory.ledger.refusals import NotEnoughStock, PieceNotFree, check_quantity
from inventory.ledger.services.reserved import count_reserved
from inventory.models import SHELF_STATES, Lot, Material, Need, Promise


@transaction.atomic
def reserve_stock(
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
    # A promise is strict: the update matches only while that much is free, so that two at once
    # can't both have it.
    _reserve(locked, quantity)
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
        raise PieceNotFree(lot, "is already reserved") from None


def _check_piece(lot: Lot) -> None:
    fresh = Lot.objects.select_related("piece").get(pk=lot.pk)
    if fresh.remaining < 1 or fresh.piece.state not in SHELF_STATES:
        raise PieceNotFree(lot, f"is {fresh.piece.get_state_display()}")
    taken = fresh.promises.filter(outstanding__gt=0).first()
    if taken:
        raise PieceNotFree(lot, f"is reserved for {taken.holder_name}")


def _reserve(material: Material, quantity: Decimal) -> None:
    """Raise the promised copy where that leaves nothing below zero: the last guard."""
    more = F("promised") + quantity_value(quantity)
    free = Material.objects.filter(pk=material.pk, on_hand__gte=more + F("unfit"))
    if not free.update(promised=more):
        raise NotEnoughStock(material, quantity)


@transaction.atomic
def release_reservation(*, promise: Promise, now: datetime) -> Promise:
    """End `promise`: what it still held is free again. Ending it twice does nothing."""
    lock_materials([promise.material])
    fresh = Promise.objects.get(pk=promise.pk)
    if fresh.outstanding:
        fresh.outstanding, fresh.ended_at = Decimal(0), now
        fresh.save(update_fields=["outstanding", "ended_at"])
        count_reserved(fresh.material_id)
    return fresh


@transaction.atomic
def release_reservations(*, holder: str, now: datetime) -> int:
    """End every open promise of `holder`, and forget its needs; return how many promises ended."""
    promises = list(
        Promise.objects.filter(holder=holder, outstanding__gt=0).select_related("material")
    )
    lock_materials([promise.material for promise in promises])
    Need.objects.filter(holder=holder).delete()
    for promise in promises:
        release_reservation(promise=promise, now=now)
    return len(promises)
