"""Split a set into its parts, each a piece of its own."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.arrivals import PieceFacts
from inventory.calc.money import share_out
from inventory.calc.numbers import PARTS, part_numbers
from inventory.locking import lock_materials
from inventory.models import Lot, Piece, Reason
from inventory.money import home_unit
from inventory.refusals import Refusal
from inventory.services.make_lot import make_lot
from inventory.services.post_entry import post_entry
from inventory.services.take_from_shelf import take_from_shelf
from inventory.told import told

ONE = Decimal(1)


@transaction.atomic
def split_set(*, lot: Lot, now: datetime, why: str = "", user: Any = None) -> list[Lot]:
    """Return the parts of the set `lot`, such as T-0412A and T-0412B: sisters that share its cost.

    Parts of a set are *half sets*: nobody is promised one as if it were whole. A set that was split
    and joined before gets its old parts back. Raises Refusal for what is no set on the shelf.
    """
    material = lock_materials([lot.material])[lot.material_id]
    source = Lot.objects.select_related("supplier", "place").get(pk=lot.pk)
    _check(source)
    circumstances = told(now, None, user)
    taken = take_from_shelf(
        material=material,
        quantity=ONE,
        reason=Reason.SPLIT,
        told=circumstances,
        lot=source,
        note=why,
    )
    cost = -sum((entry.cost for entry in taken), Decimal(0))
    parts = _parts_of(source)
    shares = share_out(cost, [1] * len(parts), home_unit())
    for part, share in zip(parts, shares, strict=True):
        post_entry(
            material=material,
            lot=part,
            reason=Reason.SPLIT,
            quantity=ONE,
            cost=share,
            told=circumstances,
            note=f"from {source.number}",
        )
    return parts


def _check(lot: Lot) -> None:
    piece = Piece.objects.filter(pk=lot.pk).first()
    if piece is None or piece.parts < 2:
        raise Refusal(f"{lot.number} is no set: only a set of two or more parts is split.")
    if piece.parts > len(PARTS):
        raise Refusal(f"{lot.number} has more than {len(PARTS)} parts: cut it instead.")
    if lot.remaining < 1:
        raise Refusal(f"{lot.number} is {piece.get_state_display()}, not on the shelf.")


def _parts_of(source: Lot) -> list[Lot]:
    """Return the numbered parts, those of an earlier split where there are any."""
    piece = source.piece
    known = {part.number: part for part in source.parts.all()}
    masses = _masses(piece)
    return [
        known.get(number)
        or make_lot(
            material=source.material,
            received_on=source.received_on,
            supplier=source.supplier,
            cut_from=source,
            place=source.place,
            country=source.country,
            number=number,
            piece=PieceFacts(
                length_mm=piece.length_mm,
                width_mm=piece.width_mm,
                thickness_mm=piece.thickness_mm,
                mass_g=mass,
                grade=piece.grade,
                felled_on=piece.felled_on,
                log=piece.log,
                is_ready=piece.is_ready,
                is_half=True,
            ),
        )
        for number, mass in zip(part_numbers(source.number, piece.parts), masses, strict=True)
    ]


def _masses(piece: Piece) -> list[Decimal | None]:
    """What each part weighs, where that was written down for every one of them."""
    words = piece.part_masses.replace(",", " ").replace(";", " ").split()
    try:
        masses = [Decimal(word) for word in words]
    except ArithmeticError:
        masses = []
    known = len(masses) == piece.parts and all(mass.is_finite() and mass > 0 for mass in masses)
    return [*masses] if known else [None] * piece.parts
