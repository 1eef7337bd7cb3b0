"""Extend a build by what was agreed after it was ordered: a stage, materials, days."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from django.db import transaction
from django.db.models import F, Max

from inventory.models import Material
from shop.locking import locked_build
from shop.models import Build, BuildLine, BuildStage
from shop.services.put_aside import put_aside


@dataclass(frozen=True, slots=True, kw_only=True)
class MoreMaterial:
    """More of a material, in its base unit, at what it was planned to cost."""

    material: Material
    quantity: Decimal
    cost: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Extension:
    """What was added: no stage without hours, and one line for each material."""

    stage: BuildStage | None
    lines: tuple[BuildLine, ...]


@transaction.atomic
def extend_build(
    *,
    build: Build,
    name: str,
    now: datetime,
    hours: Decimal = Decimal(0),
    before: BuildStage | None = None,
    materials: Sequence[MoreMaterial] = (),
    days: int = 0,
) -> Extension:
    """Return the stage `name` and the lines that were added; the promised day moves by `days`.

    The stage stands before the one named, else last. The materials are put aside as far as the
    shelf goes. A build that is finished or cancelled only has its day moved.
    """
    locked = locked_build(build)
    if locked.promised_on and days:
        locked.promised_on += timedelta(days=days)
        locked.save(update_fields=["promised_on"])
    if not locked.is_open:
        return Extension(stage=None, lines=())
    stage = _add_stage(locked, name, hours, before) if hours > 0 else None
    lines = tuple(_add_line(locked, stage, more) for more in materials)
    if lines:
        put_aside(build=locked, now=now)
    return Extension(stage=stage, lines=lines)


def _add_stage(build: Build, name: str, hours: Decimal, before: BuildStage | None) -> BuildStage:
    stages = build.stages.all()
    if before is not None and (place := stages.filter(pk=before.pk).first()):
        position = place.position
        stages.filter(position__gte=position).update(position=F("position") + 1)
    else:
        position = (stages.aggregate(last=Max("position"))["last"] or 0) + 1
    return build.stages.create(position=position, name=name[:120], hours_planned=hours)


def _add_line(build: Build, stage: BuildStage | None, more: MoreMaterial) -> BuildLine:
    last = build.lines.aggregate(last=Max("position"))["last"] or 0
    return build.lines.create(
        stage=stage,
        position=last + 1,
        name=more.material.name[:120],
        family=more.material.family,
        material=more.material,
        quantity=more.quantity,
        to_draw=more.quantity,
        planned_cost=more.cost,
    )
