"""Draw stock for a build, on one of its lines or beyond them."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.models import Lot, Material
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

    `material` is the line's unless another is named: then it stands in for it. The stage is the
    line's unless another is named. Raises Refusal only when nothing says what is drawn.
    """
    material = material or (lot.material if lot else None) or (line.material if line else None)
    if material is None:
        raise Refusal("Say which material is drawn: this line names none.", field="material")
    entries = draw_stock(
        material=material,
        quantity=quantity,
        holder=build.holder,
        now=now,
        happened_at=happened_at,
        lot=lot,
        line=line.key if line else "",
        note=note,
        user=user,
    )
    stage = stage or (line.stage if line else None)
    return [
        BuildDraw.objects.create(build=build, line=line, stage=stage, entry=entry)
        for entry in entries
    ]
