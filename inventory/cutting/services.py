"""Book a cut, a whole plan, or the loss of a part."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from decimal import Decimal

from django.db import transaction

from inventory.base.people import Person
from inventory.base.queries import home_minor_unit
from inventory.base.refusals import Refusal
from inventory.cutting.calc.costs import Loss, book_loss, share_cut_cost
from inventory.cutting.queries import CutJob, CutPart, cut_questions
from inventory.cutting.refusals import AnotherSpecies, AskFirst, ThickerThanItsBoard
from inventory.ledger.locking import lock_materials
from inventory.ledger.refusals import check_quantity
from inventory.ledger.services.context import PostingContext, posting_context
from inventory.ledger.services.incoming import PieceFacts
from inventory.ledger.services.issue import issue_stock
from inventory.ledger.services.lots import make_lot
from inventory.ledger.services.post import post_entry
from inventory.models import Lot, Material, Reason, StockEntry


@transaction.atomic
def cut_stock(
    *,
    lot: Lot,
    parts: Sequence[CutPart],
    usable: Decimal,
    now: datetime,
    quantity: Decimal = Decimal(1),
    remnants: Sequence[CutPart] = (),
    note: str = "",
    ask_first: bool = False,
    user: Person | None = None,
) -> list[Lot]:
    """Take `quantity` of `lot` to the saw; return the lots of the parts, then of the remnants.

    A remnant takes its share of `usable` (mm, or mm² of a board) of the cost, the parts carry the
    rest: trim, kerf and scrap cost nothing of their own. Parts are of the species of `lot`, under
    its papers and as dry as it is; a material that has no species yet takes it on. Raises
    AnotherSpecies, ThickerThanItsBoard, Refusal when the remnants are more than there was, and with
    `ask_first` AskFirst where there is something to think of.
    """
    if not parts and not remnants:
        raise Refusal("A cut must leave at least one part or remnant.", field="parts")
    locked = lock_materials([lot.material, *(part.material for part in [*parts, *remnants])])
    material = locked[lot.material_id]
    for part in parts:
        _check_part(lot, part, locked)
    if ask_first:
        job = CutJob(
            lot=lot,
            quantity=quantity,
            usable=usable,
            parts=tuple(parts),
            remnants=tuple(remnants),
        )
        _ask([job])
    posting = posting_context(now, None, user)
    taken = issue_stock(
        material=material,
        quantity=check_quantity(material, quantity),
        reason=Reason.CUT,
        posting=posting,
        lot=lot,
        note=note,
    )
    costs = _shares(-sum((entry.cost for entry in taken), Decimal(0)), usable, parts, remnants)
    return [
        _put_on_shelf(lot, part, cost, posting)
        for part, cost in zip([*parts, *remnants], costs, strict=True)
    ]


def _check_part(lot: Lot, part: CutPart, locked: Mapping[int, Material]) -> None:
    """Let no part claim another wood than it is cut from, or more of it."""
    own, becomes = locked[lot.material_id], locked[part.material.pk]
    if own.species_id != becomes.species_id:
        others = Lot.objects.filter(material=becomes).exclude(
            cut_from__material__species=own.species_id
        )
        if becomes.species_id or others.exists():
            raise AnotherSpecies(lot, becomes)
        Material.objects.filter(pk=becomes.pk).update(species=own.species_id)
    board = lot.piece.thickness_mm if own.is_piece else None
    if board and part.piece.thickness_mm and part.piece.thickness_mm > board:
        raise ThickerThanItsBoard(lot, becomes)


def _ask(jobs: Sequence[CutJob]) -> None:
    if questions := cut_questions(jobs):
        raise AskFirst(questions)


def _shares(
    cost: Decimal, usable: Decimal, parts: Sequence[CutPart], remnants: Sequence[CutPart]
) -> list[Decimal]:
    left = [part.measure for part in remnants]
    if sum(left, Decimal(0)) > usable:
        raise Refusal("The remnants are larger than the stock that was cut.", field="remnants")
    shares = share_cut_cost(
        cost,
        usable,
        remnants=left,
        parts=[part.measure for part in parts],
        minor_unit=home_minor_unit(),
    )
    return [*shares.parts, *shares.remnants]


def _put_on_shelf(source: Lot, part: CutPart, cost: Decimal, posting: PostingContext) -> Lot:
    """Number the part; it is as old, and from the same supplier, as what it was cut from."""
    own = make_lot(
        material=part.material,
        received_on=source.received_on,
        supplier=source.supplier,
        cut_from=source,
        place=part.place or source.place,
        country=source.country,
        piece=_inherited(source, part.piece),
    )
    post_entry(
        material=part.material,
        lot=own,
        reason=Reason.CUT,
        quantity=check_quantity(part.material, part.quantity),
        cost=cost,
        posting=posting,
    )
    return own


def _inherited(source: Lot, facts: PieceFacts) -> PieceFacts:
    """Return what is known of a part: what nobody measured anew is as it was on its board."""
    if not source.material.is_piece:
        return facts
    board = source.piece
    return replace(
        facts,
        thickness_mm=facts.thickness_mm or board.thickness_mm,
        grade=facts.grade or board.grade,
        felled_on=facts.felled_on or board.felled_on,
        log=facts.log or board.log or source.number,
        is_ready=board.is_ready,
    )


@transaction.atomic
def cut_by_plan(
    *, jobs: Sequence[CutJob], now: datetime, sure: bool = False, user: Person | None = None
) -> list[Lot]:
    """Cut every lot of the plan; return the lots of parts and remnants.

    Raises AskFirst unless `sure` where there is something to think of, AnotherSpecies, and Refusal
    when a lot no longer has what the plan was made for: plan again then.
    """
    lock_materials(
        [job.lot.material for job in jobs]
        + [part.material for job in jobs for part in [*job.parts, *job.remnants]]
    )
    if not sure:
        _ask(jobs)
    made: list[Lot] = []
    for job in jobs:
        fresh = Lot.objects.select_related("material").get(pk=job.lot.pk)
        if fresh.remaining < job.quantity:
            raise Refusal(f"{fresh.number} has changed since this plan was made. Make a new plan.")
        made += cut_stock(
            lot=fresh,
            parts=job.parts,
            remnants=job.remnants,
            usable=job.usable,
            quantity=job.quantity,
            now=now,
            user=user,
        )
    return made


@transaction.atomic
def record_lost_part(
    *, lot: Lot, kind: Loss, why: str, now: datetime, user: Person | None = None
) -> list[StockEntry]:
    """Scrap the piece `lot`; as normal loss its cost falls on the parts of the same cut.

    As abnormal loss, or with no such part left on the shelf, its cost goes to scrap.
    Raises Refusal when the piece is not on the shelf.
    """
    material = lock_materials([lot.material])[lot.material_id]
    lot.refresh_from_db()
    if not material.is_piece or lot.remaining < 1:
        raise Refusal(f"{lot.number} is not in stock, so it can't be scrapped.")
    sisters = _parts_of_the_same_cut(lot) if kind is Loss.NORMAL else []
    posting = posting_context(now, None, user)
    if sisters:
        _spread(lot, sisters, posting)
    return issue_stock(
        material=material,
        quantity=Decimal(1),
        reason=Reason.SCRAPPED,
        posting=posting,
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


def _spread(lot: Lot, sisters: list[Lot], posting: PostingContext) -> None:
    """Move the cost of `lot` onto its sisters by their size."""
    lots = [lot, *sisters]
    booked = book_loss(
        [one.remaining_cost for one in lots],
        _sizes(lots),
        {0},
        Loss.NORMAL,
        home_minor_unit(),
    )
    for one, cost in zip(lots, booked.parts, strict=True):
        if cost != one.remaining_cost:
            post_entry(
                material=one.material,
                lot=one,
                reason=Reason.COST_MOVED,
                quantity=Decimal(0),
                cost=cost - one.remaining_cost,
                posting=posting,
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
