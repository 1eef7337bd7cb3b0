"""What happens to wood in the rack besides drawing it: sold, split, judged."""

from datetime import datetime
from decimal import Decimal

from django.db import transaction

from inventory.base.calc.money import check_whole_units, share_out
from inventory.base.people import Person
from inventory.base.queries import home_currency, home_minor_unit
from inventory.base.refusals import Refusal
from inventory.ledger.calc.numbers import PARTS, part_numbers
from inventory.ledger.locking import lock_materials
from inventory.ledger.refusals import check_quantity
from inventory.ledger.services.context import posting_context
from inventory.ledger.services.incoming import PieceFacts
from inventory.ledger.services.issue import flag_overcommitted, issue_stock
from inventory.ledger.services.lots import make_lot
from inventory.ledger.services.post import post_entry
from inventory.models import (
    SHELF_STATES,
    VERDICTS,
    Lot,
    Material,
    Piece,
    PieceState,
    Reason,
    Sale,
    StockEntry,
)


@transaction.atomic
def sell_stock(
    *,
    material: Material,
    quantity: Decimal,
    to: str,
    price: Decimal,
    now: datetime,
    happened_at: datetime | None = None,
    lot: Lot | None = None,
    user: Person | None = None,
) -> Sale:
    """Take `quantity` (base units) off the shelf at its cost; keep who took it and what it fetched.

    `price` is home money for all of it, net of tax. What was promised to somebody is sold all the
    same and marked to be reconciled. Raises Refusal without a buyer.
    """
    if not to.strip():
        raise Refusal("Enter the buyer.", field="to")
    if price < 0:
        raise Refusal("The price must be 0 or more.", field="price")
    check_whole_units(price, home_currency(), "price")
    locked = lock_materials([material])[material.pk]
    entries = issue_stock(
        material=locked,
        quantity=check_quantity(locked, quantity),
        reason=Reason.SOLD,
        posting=posting_context(now, happened_at, user),
        lot=lot,
        note=f"to {to.strip()}",
    )
    return Sale.objects.create(entry=entries[0], to=to.strip(), price=price)


ONE = Decimal(1)


@transaction.atomic
def split_set(*, lot: Lot, now: datetime, why: str = "", user: Person | None = None) -> list[Lot]:
    """Return the parts of the set `lot`, such as T-0412A and T-0412B: sisters that share its cost.

    Parts of a set are *half sets*: nobody is promised one as if it were whole. A set that was split
    and joined before gets its old parts back. Raises Refusal for what is no set on the shelf.
    """
    material = lock_materials([lot.material])[lot.material_id]
    source = Lot.objects.select_related("supplier", "place").get(pk=lot.pk)
    _check(source)
    posting = posting_context(now, None, user)
    taken = issue_stock(
        material=material,
        quantity=ONE,
        reason=Reason.SPLIT,
        posting=posting,
        lot=source,
        note=why,
    )
    cost = -sum((entry.cost for entry in taken), Decimal(0))
    parts = _parts_of(source)
    # Halves of one set are worth the same; the odd cent goes to the first.
    shares = share_out(cost, [1] * len(parts), home_minor_unit())
    for part, share in zip(parts, shares, strict=True):
        post_entry(
            material=material,
            lot=part,
            reason=Reason.SPLIT,
            quantity=ONE,
            cost=share,
            posting=posting,
            note=f"from {source.number}",
        )
    return parts


def _check(lot: Lot) -> None:
    piece = Piece.objects.filter(pk=lot.pk).first()
    if piece is None or piece.parts < 2:
        raise Refusal(f"{lot.number} is not a set: only a set of two or more parts can be split.")
    if piece.parts > len(PARTS):
        raise Refusal(f"{lot.number} has more than {len(PARTS)} parts: cut it instead.")
    if lot.remaining < 1:
        raise Refusal(f"{lot.number} can't be split: it is {piece.get_state_display()}.")


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


@transaction.atomic
def judge_piece(
    *, lot: Lot, verdict: str, why: str, now: datetime, user: Person | None = None
) -> StockEntry:
    """Note in the journal that the piece `lot` is no longer fit for what it was bought as.

    It stays on the shelf at its cost, to be cut up, sold or sent back, and nobody is promised it.
    Whoever was is short of it: that promise stays in sight but holds nothing. Raises Refusal for
    what is no piece on the shelf, for a verdict that it has already, and without a reason.
    """
    material = lock_materials([lot.material])[lot.material_id]
    if verdict not in VERDICTS:
        raise Refusal("Choose downgraded or rejected.", field="verdict")
    if not why.strip():
        raise Refusal("Enter a reason.", field="why")
    piece = Piece.objects.filter(pk=lot.pk, lot__remaining__gt=0).first()
    if piece is None:
        raise Refusal(f"{lot.number} is not a piece in stock.")
    if piece.verdict == verdict:
        raise Refusal(f"{lot.number} is already {PieceState(verdict).label}.", field="verdict")
    entry = post_entry(
        material=material,
        lot=lot,
        reason=Reason(verdict),
        quantity=Decimal(0),
        cost=Decimal(0),
        posting=posting_context(now, None, user),
        note=why,
    )
    if piece.state in SHELF_STATES:
        flag_overcommitted(entries=[entry], material=material)
    return entry
