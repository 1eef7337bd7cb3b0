"""Scrap what was lost on a build: what had been drawn for it, or straight from the shelf."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.models import Lot, Material
from inventory.refusals import Refusal
from inventory.services.return_stock import return_stock
from inventory.services.scrap_stock import scrap_stock
from shop.models import Build, BuildDraw, BuildLine, BuildStage


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
    user: Any = None,
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
        raise Refusal("Say which material is scrapped: this line names none.", field="material")
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
