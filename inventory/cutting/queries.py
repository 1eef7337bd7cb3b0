"""Cutting plans for stock on the shelf, and how one travels sealed through a page."""

from collections.abc import Iterable, Sequence
from dataclasses import asdict, dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any

from django.core import signing
from django.db.models import Max, Min

from inventory.base.refusals import Refusal
from inventory.cutting.calc.boards import Blank, CutBoard, StockBoard, plan_boards
from inventory.cutting.calc.costs import Saw
from inventory.cutting.calc.lengths import CutLength, PartLength, StockLength, plan_lengths
from inventory.cutting.pictures import CutPicture, picture_of_board, picture_of_length
from inventory.ledger.services.incoming import PieceFacts
from inventory.models import SHELF_STATES, KeptAs, Lot, Material, Piece, Place

ONE = Decimal(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class CutPart:
    """One part or remnant: `quantity` base units of `material`, for a piece always 1.

    `measure` is its length in mm, or its area in mm² on a board: cost is shared by it.
    """

    material: Material
    measure: Decimal
    quantity: Decimal = ONE
    piece: PieceFacts = field(default_factory=PieceFacts)
    place: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CutJob:
    """One lot at the saw: how much of it is taken, and what comes of that."""

    lot: Lot
    quantity: Decimal
    usable: Decimal
    parts: tuple[CutPart, ...]
    remnants: tuple[CutPart, ...]


SECONDS = 4.0
"""Work that goes into a plan, about so long on a quick machine."""

MANY = 100
"""Blanks times boards from which a first plan is shown while the best one is looked for."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WantedPart:
    """Parts that are wanted, in mm; without a width they are cut from a length alone."""

    material: Material
    length: Decimal
    width: Decimal | None
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CutPlan:
    """A plan over one or several lots. `opened` and `least` are shares of what was on offer.

    `missing` names parts that no stock was found for; `largest` has the greatest length and, of
    boards, the greatest width on offer, in mm.
    """

    jobs: tuple[CutJob, ...]
    pictures: tuple[CutPicture, ...]
    missing: tuple[tuple[str, int], ...]
    opened: Decimal
    least: Decimal | None
    proven: bool
    unit: str
    largest: tuple[Decimal, ...]


def lots_to_cut(material: Material, lot: Lot | None = None) -> list[Lot]:
    """Lots of `material` that may be cut: on the shelf, promised to nobody, or the one named."""
    rows = Lot.objects.filter(material=material, remaining__gt=0).select_related("piece")
    if lot is not None:
        return list(rows.filter(pk=lot.pk))
    if material.is_piece:
        rows = rows.filter(piece__state__in=SHELF_STATES)
    return list(rows.exclude(promises__outstanding__gt=0))


def takes_long(lots: Sequence[Lot], wanted: Sequence[WantedPart]) -> bool:
    """Say whether the best plan for boards takes longer than one waits for a page."""
    blanks = sum(part.count for part in wanted)
    return any(part.width for part in wanted) and blanks * len(lots) > MANY


def plan_cuts(
    material: Material,
    lots: Sequence[Lot],
    wanted: Sequence[WantedPart],
    saw: Saw,
    *,
    first: bool = False,
) -> CutPlan:
    """Plan how to cut `wanted` from `lots` with the least stock opened. Loads OR-Tools.

    Boards are planned in two dimensions when every part has a width; `first` is a plan for them
    that is made at once and may open more than the best. Raises Refusal when nothing there can be
    cut, or is not measured yet.
    """
    if not wanted:
        raise Refusal("Enter at least one part to cut.")
    if any(part.width for part in wanted):
        return _plan_boards(material, lots, wanted, saw, seconds=0 if first else SECONDS)
    return _plan_lengths(material, lots, wanted, saw)


def _plan_boards(
    material: Material,
    lots: Sequence[Lot],
    wanted: Sequence[WantedPart],
    saw: Saw,
    *,
    seconds: float,
) -> CutPlan:
    if not material.is_piece:
        raise Refusal(f"{material} is not a board: enter only a length for each part.")
    if not all(part.width for part in wanted):
        raise Refusal("Enter a width for every part, or for none.")
    by_number = {lot.number: lot for lot in lots if lot.piece.length_mm and lot.piece.width_mm}
    _check(by_number, material)
    stock = [
        StockBoard(key=number, length=_size(lot.piece.length_mm), width=_size(lot.piece.width_mm))
        for number, lot in by_number.items()
    ]
    blanks = [
        Blank(key=str(place), length=part.length, width=_size(part.width), count=part.count)
        for place, part in enumerate(wanted)
    ]
    plan = plan_boards(stock, blanks, saw, seconds=seconds)
    names = [part.material.name for part in wanted]
    return CutPlan(
        jobs=tuple(_board_job(by_number[board.stock], board, wanted) for board in plan.boards),
        pictures=tuple(picture_of_board(board, names) for board in plan.boards),
        missing=tuple((names[int(key)], count) for key, count in plan.missing),
        opened=plan.opened / 1_000_000,
        least=None if plan.least_opened is None else plan.least_opened / 1_000_000,
        proven=plan.proven,
        unit="m2",
        largest=(max(one.length for one in stock), max(one.width for one in stock)),
    )


def _plan_lengths(
    material: Material, lots: Sequence[Lot], wanted: Sequence[WantedPart], saw: Saw
) -> CutPlan:
    stock = [one for lot in lots for one in _stock_lengths(material, lot)]
    by_number = {lot.number: lot for lot in lots}
    _check({one.key: one for one in stock}, material)
    parts = [
        PartLength(key=str(place), length=part.length, count=part.count)
        for place, part in enumerate(wanted)
    ]
    plan = plan_lengths(stock, parts, saw, seconds=SECONDS)
    names = [part.material.name for part in wanted]
    return CutPlan(
        jobs=tuple(_length_job(by_number[cut.stock], cut, wanted) for cut in plan.pieces),
        pictures=tuple(picture_of_length(cut, names) for cut in plan.pieces),
        missing=tuple((names[int(key)], count) for key, count in plan.missing),
        opened=plan.opened / 1000,
        least=None if plan.least_opened is None else plan.least_opened / 1000,
        proven=plan.proven,
        unit="m",
        largest=(max(one.length for one in stock),),
    )


def _check(found: object, material: Material) -> None:
    if not found:
        raise Refusal(f"No {material} can be cut: none is available with its sizes recorded.")


def _stock_lengths(material: Material, lot: Lot) -> list[StockLength]:
    """A piece by its length; a lot kept by the length by the bars it came in, and their rest."""
    if material.is_piece:
        length = lot.piece.length_mm
        return [StockLength(key=lot.number, length=length)] if length else []
    if material.kept_as != KeptAs.LENGTH:
        raise Refusal(f"{material} is kept as {material.get_kept_as_display()}: it can't be cut.")
    bar = material.pack or lot.remaining
    whole, rest = divmod(lot.remaining, bar)
    stock = [StockLength(key=lot.number, length=bar, count=int(whole))] if whole else []
    return stock + ([StockLength(key=lot.number, length=rest)] if rest else [])


def _board_job(lot: Lot, board: CutBoard, wanted: Sequence[WantedPart]) -> CutJob:
    return CutJob(
        lot=lot,
        quantity=Decimal(1),
        usable=board.usable,
        parts=tuple(_part(lot, wanted[int(cut.part)], cut.place.area) for cut in board.cuts),
        remnants=tuple(
            CutPart(
                material=lot.material,
                measure=place.area,
                piece=_facts(lot, place.length, place.width),
            )
            for place in board.remnants
        ),
    )


def _length_job(lot: Lot, cut: CutLength, wanted: Sequence[WantedPart]) -> CutJob:
    """A piece is used up and leaves its remnant; of a length only what was cut off is taken."""
    parts = tuple(_part(lot, wanted[int(part.part)], part.length) for part in cut.cuts)
    if not lot.material.is_piece:
        taken = cut.length - cut.remnant
        return CutJob(lot=lot, quantity=taken, usable=taken, parts=parts, remnants=())
    rest = CutPart(
        material=lot.material,
        measure=cut.remnant,
        piece=_facts(lot, cut.remnant, lot.piece.width_mm),
    )
    return CutJob(
        lot=lot,
        quantity=Decimal(1),
        usable=cut.usable,
        parts=parts,
        remnants=(rest,) if cut.remnant else (),
    )


def _part(lot: Lot, part: WantedPart, measure: Decimal) -> CutPart:
    own_width = lot.piece.width_mm if lot.material.is_piece else None
    quantity = part.length if part.material.kept_as == KeptAs.LENGTH else Decimal(1)
    return CutPart(
        material=part.material,
        measure=measure,
        quantity=quantity,
        piece=_facts(lot, part.length, part.width or own_width),
    )


def _facts(lot: Lot, length: Decimal, width: Decimal | None) -> PieceFacts:
    if not lot.material.is_piece:
        return PieceFacts(length_mm=length, width_mm=width, is_ready=True)
    source = lot.piece
    return PieceFacts(
        length_mm=length,
        width_mm=width,
        thickness_mm=source.thickness_mm,
        grade=source.grade,
        felled_on=source.felled_on,
        log=source.log or lot.number,
        is_ready=source.is_ready,
    )


def _size(value: Decimal | None) -> Decimal:
    if value is None:
        raise ValueError("Enter the size.")
    return value


def cut_questions(jobs: Sequence[CutJob]) -> list[str]:
    """Say what to think of before the saw: drying wood, an odd thickness, short grain.

    A thickness is odd where every piece of the part's material so far was thinner, or thicker.
    """
    asked = [question for job in jobs for question in _questions_of(job)]
    return list(dict.fromkeys(asked))


def _questions_of(job: CutJob) -> Iterable[str]:
    if job.lot.material.is_piece and not job.lot.piece.is_ready:
        yield f"{job.lot.number} is still drying, and its parts with it."
    for part in job.parts:
        facts = part.piece
        if not part.material.is_piece:
            continue
        if facts.width_mm and facts.length_mm and facts.width_mm > facts.length_mm:
            yield (
                f"{part.material}, {_plain(facts.length_mm)} \N{MULTIPLICATION SIGN} "
                f"{_plain(facts.width_mm)} mm, is longer across the grain than along it."
            )
        yield from _of_thickness(part.material, facts.thickness_mm or _thickness_of(job.lot))


def _of_thickness(material: Material, thickness: Decimal | None) -> Iterable[str]:
    known = Piece.objects.filter(lot__material=material, thickness_mm__isnull=False)
    least, most = known.aggregate(least=Min("thickness_mm"), most=Max("thickness_mm")).values()
    if thickness is not None and least is not None and not least <= thickness <= most:
        usual = _plain(least) if least == most else f"{_plain(least)} to {_plain(most)}"
        yield (
            f"{material} would be {_plain(thickness)} mm thick; its pieces so far are {usual} mm."
        )


def _thickness_of(lot: Lot) -> Decimal | None:
    return lot.piece.thickness_mm if lot.material.is_piece else None


def _plain(size: Decimal) -> str:
    return f"{size.normalize():f}"


SALT = "cutting plan"
KEPT_SECONDS = 24 * 3600


def sealed_plan(jobs: Sequence[CutJob]) -> str:
    """Write a plan so that it can travel through a page and come back unchanged."""
    return signing.dumps([_plain_job(job) for job in jobs], salt=SALT, compress=True)


def plan_unsealed(sealed: str) -> list[CutJob]:
    """Read a sealed plan. Raises Refusal when it was changed, or its stock is gone."""
    try:
        rows = signing.loads(sealed, salt=SALT, max_age=KEPT_SECONDS)
    except signing.BadSignature:
        raise Refusal("This plan can no longer be read. Make a new plan.") from None
    keys = {part["material"] for row in rows for part in [*row["parts"], *row["remnants"]]}
    materials = Material.objects.select_related("family").in_bulk(keys)
    lots = Lot.objects.select_related("material").in_bulk({row["lot"] for row in rows})
    try:
        return [_job(row, lots, materials) for row in rows]
    except KeyError:
        raise Refusal("The stock of this plan is gone. Make a new plan.") from None


def _plain_job(job: CutJob) -> dict[str, Any]:
    return {
        "lot": job.lot.pk,
        "quantity": str(job.quantity),
        "usable": str(job.usable),
        "parts": [_plain_part(part) for part in job.parts],
        "remnants": [_plain_part(part) for part in job.remnants],
    }


def _plain_part(part: CutPart) -> dict[str, Any]:
    facts = {
        name: value if isinstance(value, bool | int) else str(value)
        for name, value in asdict(part.piece).items()
        if value not in {None, ""}
    }
    return {
        "material": part.material.pk,
        "measure": str(part.measure),
        "quantity": str(part.quantity),
        "facts": facts,
    }


def _job(row: dict[str, Any], lots: dict[int, Lot], materials: dict[int, Material]) -> CutJob:
    return CutJob(
        lot=lots[row["lot"]],
        quantity=Decimal(row["quantity"]),
        usable=Decimal(row["usable"]),
        parts=tuple(_part_of_sealed_cuts(part, materials) for part in row["parts"]),
        remnants=tuple(_part_of_sealed_cuts(part, materials) for part in row["remnants"]),
    )


def _part_of_sealed_cuts(row: dict[str, Any], materials: dict[int, Material]) -> CutPart:
    facts = dict(row["facts"])
    for name in facts.keys() & {"length_mm", "width_mm", "thickness_mm", "mass_g"}:
        facts[name] = Decimal(facts[name])
    if "felled_on" in facts:
        facts["felled_on"] = date.fromisoformat(facts["felled_on"])
    return CutPart(
        material=materials[row["material"]],
        measure=Decimal(row["measure"]),
        quantity=Decimal(row["quantity"]),
        piece=PieceFacts(**facts),
    )
