"""Give new stock its lot and number."""

from datetime import date

from django.db import transaction

from inventory.base.services import next_number
from inventory.ledger.calc.numbers import format_piece_number, letter_of
from inventory.ledger.services.incoming import PieceFacts
from inventory.models import DeliveryLine, Lot, Material, Piece, Place, Supplier


@transaction.atomic
def make_lot(
    *,
    material: Material,
    received_on: date,
    supplier: Supplier | None = None,
    delivery_line: DeliveryLine | None = None,
    cut_from: Lot | None = None,
    place: Place | None = None,
    expires_on: date | None = None,
    country: str = "",
    note: str = "",
    piece: PieceFacts | None = None,
    number: str = "",
) -> Lot:
    """Return a new, still empty lot with the next number of its family's letter, such as T-0412.

    A part of a set brings the `number` that the set gives it.

    A material kept by the piece gets its piece as well.
    """
    lot = Lot.objects.create(
        number=number or _next_number(material),
        material=material,
        received_on=received_on,
        supplier=supplier,
        delivery_line=delivery_line,
        cut_from=cut_from,
        place=place,
        expires_on=expires_on,
        country=country,
        note=note or (piece.note if piece else ""),
    )
    if material.is_piece:
        _add_piece(lot, piece or PieceFacts())
    return lot


def _next_number(material: Material) -> str:
    letter = letter_of(material.family.name)
    return format_piece_number(letter, next_number(series=f"lot {letter}"))


def _add_piece(lot: Lot, facts: PieceFacts) -> None:
    Piece.objects.create(
        lot=lot,
        is_ready=facts.is_ready,
        is_half=facts.is_half,
        parts=facts.parts,
        length_mm=facts.length_mm,
        width_mm=facts.width_mm,
        thickness_mm=facts.thickness_mm,
        mass_g=facts.mass_g,
        grade=facts.grade,
        felled_on=facts.felled_on,
        log=facts.log,
    )
