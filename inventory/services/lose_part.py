"""Book a part that was lost in or after a cut, as normal or as abnormal loss."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.calc.cutting import Loss, book_loss
from inventory.locking import lock_materials
from inventory.models import Lot, Reason, StockEntry
from inventory.money import home_unit
from inventory.refusals import Refusal
from inventory.services.post_entry import post_entry
from inventory.services.take_from_shelf import take_from_shelf
from inventory.told import Told, told


@transaction.atomic
def lose_part(
    *, lot: Lot, kind: Loss, why: str, now: datetime, user: Any = None
) -> list[StockEntry]:
    """Scrap the piece `lot`; as normal loss its cost falls on the parts of the same cut.

    As abnormal loss, or with no such part left on the shelf, its cost goes to scrap.
    Raises Refusal when the piece is not on the shelf.
    """
    material = lock_materials([lot.material])[lot.material_id]
    lot.refresh_from_db()
    if not material.is_piece or lot.remaining < 1:
        raise Refusal(f"{lot.number} is not on the shelf, so it can't be lost there.")
    sisters = _parts_of_the_same_cut(lot) if kind is Loss.NORMAL else []
    circumstances = told(now, None, user)
    if sisters:
        _spread(lot, sisters, circumstances)
    return take_from_shelf(
        material=material,
        quantity=Decimal(1),
        reason=Reason.SCRAPPED,
        told=circumstances,
        lot=lot,
        note=why,
    )


def _parts_of_the_same_cut(lot: Lot) -> list[Lot]:
    if lot.cut_from_id is None:
        return []
    others = Lot.objects.filter(
        cut_from=lot.cut_from_id, material=lot.material_id, remaining__gt=0
    ).exclude(pk=lot.pk)
    return list(others.select_related("piece", "material").order_by("pk"))


def _spread(lot: Lot, sisters: list[Lot], circumstances: Told) -> None:
    """Move the cost of `lot` onto its sisters by their size."""
    lots = [lot, *sisters]
    booked = book_loss(
        [one.remaining_cost for one in lots],
        _sizes(lots),
        {0},
        Loss.NORMAL,
        home_unit(),
    )
    for one, cost in zip(lots, booked.parts, strict=True):
        if cost != one.remaining_cost:
            post_entry(
                material=one.material,
                lot=one,
                reason=Reason.COST_MOVED,
                quantity=Decimal(0),
                cost=cost - one.remaining_cost,
                told=circumstances,
                note="normal loss" if one is lot else f"normal loss of {lot.number}",
            )


def _sizes(lots: list[Lot]) -> list[Decimal]:
    """Volumes, or 1 each where a size is not known."""
    volumes = []
    for lot in lots:
        piece = lot.piece
        sizes = (piece.length_mm, piece.width_mm, piece.thickness_mm)
        if None in sizes:
            return [Decimal(1)] * len(lots)
        length, width, thickness = (size for size in sizes if size is not None)
        volumes.append(length * width * thickness * piece.parts)
    return volumes
