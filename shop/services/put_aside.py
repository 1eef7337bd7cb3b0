"""Put aside what a build needs: every line promised, as far as the shelf goes."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from decimal import Decimal

from django.db import transaction
from django.utils import timezone

from inventory.locking import lock_materials
from inventory.models import Lot, Material, Promise
from inventory.needed import NeededLine
from inventory.services.promise_stock import promise_stock
from inventory.services.release_promise import release_promise
from inventory.services.state_needs import state_needs
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

    `chosen` gives pieces by the position of their line, counted from 1. Where none is chosen the
    best ones are taken, by the shop's preference unless `first` is given; of what is not kept by
    the piece as much as is free. Pieces promised to it that have been taken since are let go of.
    Raises PieceNotFree when a chosen piece is not to be had: then nothing is promised.
    """
    lock_materials(line.material for line in build.lines.all() if line.material)
    _let_go_of_lost(build, now)
    for need in needs_of([build]):
        if need.line.material and need.short > 0:
            own = chosen.get(need.line.position, ())
            _promise(need, need.line.material, own, now, first)
    _state_needs(build)
    return tuple(shortages_of(needs_of([build]), timezone.localtime(now).date()))


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
            _promise_one(need, material, Decimal(1), now, lot)
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
