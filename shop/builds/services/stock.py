"""Stock of a build: reserved, drawn, returned, scrapped."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from decimal import ROUND_CEILING, Decimal

from django.db import transaction
from django.utils import timezone

from inventory.base.calc.units import base_unit, kind_of
from inventory.base.people import Person
from inventory.base.refusals import Refusal
from inventory.ledger.locking import lock_materials
from inventory.ledger.refusals import check_stands_in
from inventory.ledger.services.demand import NeededLine, replace_demand
from inventory.models import HOLDS_STOCK, SHELF_STATES, Lot, Material, Promise, StockEntry
from inventory.reservations.services import release_reservation, reserve_stock
from inventory.shelf.services.moves import draw_stock, return_stock, scrap_stock
from shop.builds.queries.needs import BuildNeed, Shortage, named_shortages, needs_of
from shop.models import Build, BuildDraw, BuildLine, BuildStage, BuildState
from shop.pieces.calc import First
from shop.pieces.queries import proposed_pieces
from shop.stages.locking import locked_build

NOTHING_CHOSEN: Mapping[int, Sequence[Lot]] = {}


@transaction.atomic
def reserve_for_build(
    *,
    build: Build,
    now: datetime,
    chosen: Mapping[int, Sequence[Lot]] = NOTHING_CHOSEN,
    first: First | None = None,
) -> tuple[Shortage, ...]:
    """Promise what the lines of `build` still need; return what is short, and by when it can come.

    A line that names no material of the shop is not short: `lines_unnamed` counts those.

    `chosen` gives pieces by the position of their line, counted from 1; they may be of another
    material than the line's, and stand in for what was put aside for it before. Where none is
    chosen the best ones are taken, by the shop's preference unless `first` is given; of what is not
    kept by the piece as much as is free. Pieces promised to it that have been taken since are let
    go of. Raises PieceNotFree when a chosen piece is not to be had, and Refusal where one can't
    stand on its line: then nothing is promised.
    """
    lock_for_build(build=build, chosen=[lot for lots in chosen.values() for lot in lots])
    _let_go_of_lost(build, now)
    for need in needs_of([build]):
        lots = _newly_chosen(need, chosen.get(need.line.position, ()))
        _make_room(need, lots, chosen.get(need.line.position, ()), now)
        if need.line.material and need.short > 0:
            _promise(need, need.line.material, lots, now, first)
    _state_needs(build)
    return tuple(named_shortages(needs_of([build]), timezone.localtime(now).date()))


def lock_for_build(*, build: Build, chosen: Iterable[Lot] = ()) -> None:
    """Lock all materials of the build's lines, of pieces put aside for it, and of `chosen` ones.

    Call before anything is read that is decided on: needs, promises, what is free.
    """
    let_go = Promise.objects.filter(holder=build.holder, outstanding__gt=0, lot__isnull=False)
    lock_materials(
        [
            *(line.material for line in build.lines.select_related("material") if line.material),
            *(lot.material for lot in chosen),
            *(promise.material for promise in let_go.select_related("material")),
        ]
    )


def _newly_chosen(need: BuildNeed, chosen: Sequence[Lot]) -> list[Lot]:
    """Return those of `chosen` that are not put aside for the line yet."""
    material = need.line.material
    if not chosen or material is None:
        return []
    most = int(need.still_needed.to_integral_value(ROUND_CEILING))
    if not most:
        raise Refusal(f"{need.line} needs no more pieces: all are drawn.", field="lot")
    if len(chosen) > most:
        raise Refusal(
            f"{need.line} still needs {most}, but {len(chosen)} pieces were chosen.", field="lot"
        )
    for lot in chosen:
        check_stands_in(lot, material, str(need.line))
    return [lot for lot in chosen if lot not in need.pieces]


def _make_room(need: BuildNeed, new: Sequence[Lot], chosen: Sequence[Lot], now: datetime) -> None:
    """Let go of pieces for which `new` ones stand in, the last promised first."""
    for lot in [lot for lot in reversed(need.pieces) if lot not in chosen]:
        if len(new) <= need.short:
            return
        promise = Promise.objects.get(holder=need.line.build.holder, lot=lot, outstanding__gt=0)
        release_reservation(promise=promise, now=now)
        need.promised -= promise.outstanding
        need.pieces.remove(lot)


def _let_go_of_lost(build: Build, now: datetime) -> None:
    lost = [lot for need in needs_of([build]) for lot in need.lost]
    for promise in Promise.objects.filter(holder=build.holder, lot__in=lost, outstanding__gt=0):
        release_reservation(promise=promise, now=now)


def _promise(
    need: BuildNeed, material: Material, chosen: Sequence[Lot], now: datetime, first: First | None
) -> None:
    if material.is_piece:
        wanted = int(need.short.to_integral_value()) - len(chosen)
        for lot in chosen:
            _promise_one(need, lot.material, Decimal(1), now, lot)
        for lot in _best(need.line, material, wanted, now, first) if wanted > 0 else ():
            _promise_one(need, material, Decimal(1), now, lot)
    elif (quantity := min(need.short, free_now(material=material))) > 0:
        _promise_one(need, material, quantity, now, None)


def _best(
    line: BuildLine, material: Material, wanted: int, now: datetime, first: First | None
) -> list[Lot]:
    on = timezone.localtime(now).date()
    return proposed_pieces(line.template_line, material, wanted, on=on, first=first)


def _state_needs(build: Build) -> None:
    lines = build.lines.exclude(material=None).select_related("material")
    replace_demand(
        holder=build.holder,
        holder_name=str(build),
        wanted_by=build.promised_on,
        needs=[
            NeededLine(material=line.material, quantity=line.to_draw, line=line.key)
            for line in lines
            if line.material
        ],
    )


def free_now(*, material: Material) -> Decimal:
    """Return what lies on the shelf for nobody now, in base units; the row is read anew."""
    return Material.objects.get(pk=material.pk).free


def _promise_one(
    need: BuildNeed, material: Material, quantity: Decimal, now: datetime, lot: Lot | None
) -> None:
    build = need.line.build
    reserve_stock(
        material=material,
        quantity=quantity,
        holder=build.holder,
        holder_name=str(build),
        now=now,
        lot=lot,
        line=need.line.key,
    )


@transaction.atomic
def draw_for_build(
    *,
    build: Build,
    quantity: Decimal,
    now: datetime,
    line: BuildLine | None = None,
    material: Material | None = None,
    lot: Lot | None = None,
    stage: BuildStage | None = None,
    happened_at: datetime | None = None,
    note: str = "",
    user: Person | None = None,
) -> list[BuildDraw]:
    """Draw `quantity` (base units) against the build's promises, and beyond them if need be.

    Of pieces, those put aside for the line come first, then those promised to nobody, last those
    put aside for other lines of the build; where no line is named, all that are put aside for the
    build come first. `material` is the line's unless another is named: then it stands in for it.
    Where none is named, pieces of another that were put aside for the line come first of all. The
    stage is the line's unless another is named. A piece that is put aside for a line is drawn on it
    where no line is named. Raises Refusal when nothing says what is drawn, or the build is
    cancelled.
    """
    # Before materials, as whoever cancels a build locks them.
    if locked_build(build).state == BuildState.CANCELLED:
        raise Refusal(f"{build.serial} is cancelled; nothing can be drawn for it.")
    line = line or _line_of(build, lot)
    named = material or (lot.material if lot else None)
    material = named or (line.material if line else None)
    if material is None:
        raise Refusal("Choose a material to draw: this line has none.", field="material")
    instead = _standing_in(line, material) if line and named is None else []
    lock_materials([material, *(piece.material for piece in instead)])
    draws = []
    for piece, part in _parts(build, line, material, lot, quantity, instead):
        entries = draw_stock(
            material=piece.material if piece else material,
            quantity=part,
            holder=build.holder,
            now=now,
            happened_at=happened_at,
            lot=piece,
            line=line.key if line else "",
            note=note,
            user=user,
        )
        draws += [
            BuildDraw(
                build=build,
                line=line,
                stage=stage or (line.stage if line else None),
                entry=entry,
            )
            for entry in entries
        ]
    return BuildDraw.objects.bulk_create(draws)


def _line_of(build: Build, lot: Lot | None) -> BuildLine | None:
    """Return the line of `build` that the piece `lot` is put aside for, if it is for one."""
    promises = Promise.objects.filter(holder=build.holder, lot=lot, outstanding__gt=0)
    promise = promises.first() if lot is not None else None
    lines = build.lines.select_related("stage") if promise else []
    return next((line for line in lines if promise and line.key == promise.line), None)


def _standing_in(line: BuildLine, material: Material) -> list[Lot]:
    """Return the pieces of other materials that are put aside for `line`."""
    if not material.is_piece:
        return []
    promises = Promise.objects.filter(
        HOLDS_STOCK, holder=line.build.holder, line=line.key, lot__isnull=False
    ).exclude(material=material)
    return [promise.lot for promise in promises.select_related("lot__material") if promise.lot]


def _parts(
    build: Build,
    line: BuildLine | None,
    material: Material,
    lot: Lot | None,
    quantity: Decimal,
    instead: Sequence[Lot],
) -> list[tuple[Lot | None, Decimal]]:
    """Return which lot gives how much; without a lot the shelf decides, the oldest first."""
    if lot is not None or not material.is_piece:
        return [(lot, quantity)]
    count = int(quantity)
    own, others = _promised(build, line, material)
    pieces = [*instead, *own, *_free(material, count), *others][:count]
    rest = quantity - len(pieces)
    return [*((piece, Decimal(1)) for piece in pieces), *([(None, rest)] if rest else [])]


def _promised(
    build: Build, line: BuildLine | None, material: Material
) -> tuple[list[Lot], list[Lot]]:
    """Return pieces put aside for `line`, and for other lines; without a line all are its own."""
    promises = Promise.objects.filter(
        HOLDS_STOCK, holder=build.holder, material=material, lot__isnull=False
    ).select_related("lot__material")
    own: list[Lot] = []
    others: list[Lot] = []
    for promise in promises:
        if promise.lot:
            (own if line is None or promise.line == line.key else others).append(promise.lot)
    return own, others


def _free(material: Material, count: int) -> list[Lot]:
    shelf = Lot.objects.filter(
        material=material, remaining__gt=0, piece__state__in=SHELF_STATES
    ).exclude(promises__outstanding__gt=0)
    return list(shelf.select_related("material")[:count])


@transaction.atomic
def return_from_build(
    *,
    draw: BuildDraw,
    quantity: Decimal,
    now: datetime,
    happened_at: datetime | None = None,
    user: Person | None = None,
) -> StockEntry:
    """Return `quantity` (base units) of `draw`, at the cost it was drawn at.

    Raises Refusal beyond what of it is still out.
    """
    return return_stock(
        entry=draw.entry, quantity=quantity, now=now, happened_at=happened_at, user=user
    )


@transaction.atomic
def scrap_for_build(
    *,
    build: Build,
    quantity: Decimal,
    why: str,
    now: datetime,
    draw: BuildDraw | None = None,
    line: BuildLine | None = None,
    material: Material | None = None,
    lot: Lot | None = None,
    stage: BuildStage | None = None,
    happened_at: datetime | None = None,
    user: Person | None = None,
) -> list[BuildDraw]:
    """Record `quantity` (base units) as lost for the account of `build`, with the reason.

    With `draw` the lost part leaves that draw at its own cost, so that the line needs a
    replacement again. Raises Refusal without a reason, or without anything to scrap.
    """
    if draw is not None:
        return_stock(
            entry=draw.entry, quantity=quantity, now=now, happened_at=happened_at, user=user
        )
        material, lot = draw.entry.material, draw.entry.lot
        line, stage = line or draw.line, stage or draw.stage
    material = material or (lot.material if lot else None) or (line.material if line else None)
    if material is None:
        raise Refusal("Choose a material to scrap: this line has none.", field="material")
    entries = scrap_stock(
        material=material,
        quantity=quantity,
        why=why,
        now=now,
        happened_at=happened_at,
        lot=lot,
        holder=build.holder,
        user=user,
    )
    stage = stage or (line.stage if line else None)
    return [
        BuildDraw.objects.create(build=build, line=line, stage=stage, entry=entry)
        for entry in entries
    ]


@transaction.atomic
def assign_material(*, line: BuildLine, material: Material) -> BuildLine:
    """Give `line` its `material`, so that it can be put aside.

    Raises Refusal when the line counts in another kind of unit than the material is kept in.
    """
    unit = line.template_line.unit if line.template_line else material.unit
    if base_unit(kind_of(unit)) != material.base_unit:
        raise Refusal(
            f"{line} is in {unit}, {material} in {material.unit}. Choose a material kept in "
            "the same kind of unit.",
            field="material",
        )
    line.material, line.family = material, material.family
    line.save(update_fields=["material", "family"])
    return line
