"""Put aside what a build needs: every line promised, as far as the shelf goes."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime
from decimal import ROUND_CEILING, Decimal

from django.db import transaction
from django.utils import timezone

from inventory.locking import lock_materials
from inventory.models import Lot, Material, Promise
from inventory.needed import NeededLine
from inventory.refusals import Refusal
from inventory.services.promise_stock import promise_stock
from inventory.services.release_promise import release_promise
from inventory.services.state_needs import state_needs
from inventory.stock_refusals import check_stands_in
from shop.calc.proposals import First
from shop.models import Build, BuildLine
from shop.queries.needs import Need, Shortage, needs_of, shortages_of
from shop.queries.proposals import proposed_pieces

NOTHING_CHOSEN: Mapping[int, Sequence[Lot]] = {}


@transaction.atomic
def put_aside(
    *,
    build: Build,
    now: datetime,
    chosen: Mapping[int, Sequence[Lot]] = NOTHING_CHOSEN,
    first: First | None = None,
) -> tuple[Shortage, ...]:
    """Promise what the lines of `build` still need; return what is short, and by when it can come.

    `chosen` gives pieces by the position of their line, counted from 1; they may be of another
    material than the line's, and stand in for what was put aside for it before. Where none is
    chosen the best ones are taken, by the shop's preference unless `first` is given; of what is not
    kept by the piece as much as is free. Pieces promised to it that have been taken since are let
    go of. Raises PieceNotFree when a chosen piece is not to be had, and Refusal where one can't
    stand on its line: then nothing is promised.
    """
    _lock(build, [lot for lots in chosen.values() for lot in lots])
    _let_go_of_lost(build, now)
    for need in needs_of([build]):
        lots = _newly_chosen(need, chosen.get(need.line.position, ()))
        _make_room(need, lots, chosen.get(need.line.position, ()), now)
        if need.line.material and need.short > 0:
            _promise(need, need.line.material, lots, now, first)
    _state_needs(build)
    return tuple(shortages_of(needs_of([build]), timezone.localtime(now).date()))


def _lock(build: Build, chosen: Iterable[Lot]) -> None:
    """Lock everything that is promised, let go of, or asked whether it is free."""
    let_go = Promise.objects.filter(holder=build.holder, outstanding__gt=0, lot__isnull=False)
    lock_materials(
        [
            *(line.material for line in build.lines.select_related("material") if line.material),
            *(lot.material for lot in chosen),
            *(promise.material for promise in let_go.select_related("material")),
        ]
    )


def _newly_chosen(need: Need, chosen: Sequence[Lot]) -> list[Lot]:
    """Return those of `chosen` that are not put aside for the line yet."""
    material = need.line.material
    if not chosen or material is None:
        return []
    most = int(need.still_needed.to_integral_value(ROUND_CEILING))
    if not most:
        raise Refusal(f"{need.line} takes no more pieces: all of it is drawn.", field="lot")
    if len(chosen) > most:
        raise Refusal(
            f"{need.line} still takes {most}; {len(chosen)} pieces were chosen for it.", field="lot"
        )
    for lot in chosen:
        check_stands_in(lot, material, str(need.line))
    return [lot for lot in chosen if lot not in need.pieces]


def _make_room(need: Need, new: Sequence[Lot], chosen: Sequence[Lot], now: datetime) -> None:
    """Let go of pieces for which `new` ones stand in, the last promised first."""
    for lot in [lot for lot in reversed(need.pieces) if lot not in chosen]:
        if len(new) <= need.short:
            return
        promise = Promise.objects.get(holder=need.line.build.holder, lot=lot, outstanding__gt=0)
        release_promise(promise=promise, now=now)
        need.promised -= promise.outstanding
        need.pieces.remove(lot)


def _let_go_of_lost(build: Build, now: datetime) -> None:
    lost = [lot for need in needs_of([build]) for lot in need.lost]
    for promise in Promise.objects.filter(holder=build.holder, lot__in=lost, outstanding__gt=0):
        release_promise(promise=promise, now=now)


def _promise(
    need: Need, material: Material, chosen: Sequence[Lot], now: datetime, first: First | None
) -> None:
    if material.is_piece:
        wanted = int(need.short.to_integral_value()) - len(chosen)
        for lot in chosen:
            _promise_one(need, lot.material, Decimal(1), now, lot)
        for lot in _best(need.line, material, wanted, now, first) if wanted > 0 else ():
            _promise_one(need, material, Decimal(1), now, lot)
    elif (quantity := min(need.short, _free_now(material))) > 0:
        _promise_one(need, material, quantity, now, None)


def _best(
    line: BuildLine, material: Material, wanted: int, now: datetime, first: First | None
) -> list[Lot]:
    on = timezone.localtime(now).date()
    return proposed_pieces(line.template_line, material, wanted, on=on, first=first)


def _state_needs(build: Build) -> None:
    lines = build.lines.exclude(material=None).select_related("material")
    state_needs(
        holder=build.holder,
        holder_name=str(build),
        wanted_by=build.promised_on,
        needs=[
            NeededLine(material=line.material, quantity=line.to_draw, line=line.key)
            for line in lines
            if line.material
        ],
    )


def _free_now(material: Material) -> Decimal:
    return Material.objects.get(pk=material.pk).free


def _promise_one(
    need: Need, material: Material, quantity: Decimal, now: datetime, lot: Lot | None
) -> None:
    build = need.line.build
    promise_stock(
        material=material,
        quantity=quantity,
        holder=build.holder,
        holder_name=str(build),
        now=now,
        lot=lot,
        line=need.line.key,
    )
