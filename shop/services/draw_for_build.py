"""Draw stock for a build, on one of its lines or beyond them."""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.locking import lock_materials
from inventory.models import SHELF_STATES, Lot, Material, Promise
from inventory.refusals import Refusal
from inventory.services.draw_stock import draw_stock
from shop.models import Build, BuildDraw, BuildLine, BuildStage


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
    user: Any = None,
) -> list[BuildDraw]:
    """Draw `quantity` (base units) against the build's promises, and beyond them if need be.

    Of pieces, those promised to the build come first, then those promised to nobody. `material` is
    the line's unless another is named: then it stands in for it. Where none is named, pieces of
    another that were put aside for the line come first of all. The stage is the line's unless
    another is named. A piece that is put aside for a line is drawn on it where no line is named.
    Raises Refusal only when nothing says what is drawn.
    """
    line = line or _line_of(build, lot)
    named = material or (lot.material if lot else None)
    material = named or (line.material if line else None)
    if material is None:
        raise Refusal("Say which material is drawn: this line names none.", field="material")
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
        holder=line.build.holder, line=line.key, outstanding__gt=0, lot__remaining__gt=0
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
    pieces = [*instead, *_promised(build, line, material), *_free(material, count)][:count]
    rest = quantity - len(pieces)
    return [*((piece, Decimal(1)) for piece in pieces), *([(None, rest)] if rest else [])]


def _promised(build: Build, line: BuildLine | None, material: Material) -> list[Lot]:
    promises = Promise.objects.filter(
        holder=build.holder, material=material, outstanding__gt=0, lot__remaining__gt=0
    ).select_related("lot__material")
    own_line_first = sorted(promises, key=lambda one: line is None or one.line != line.key)
    return [promise.lot for promise in own_line_first if promise.lot]


def _free(material: Material, count: int) -> list[Lot]:
    shelf = Lot.objects.filter(
        material=material, remaining__gt=0, piece__state__in=SHELF_STATES
    ).exclude(promises__outstanding__gt=0)
    return list(shelf.select_related("material")[:count])
