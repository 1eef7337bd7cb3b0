"""All that a stage needs drawn in one act."""

from datetime import datetime
from decimal import ROUND_FLOOR, Decimal

from django.db import transaction

from inventory.base.people import Person
from inventory.base.refusals import Refusal
from inventory.ledger.locking import lock_materials
from inventory.models import Material
from shop.builds.queries.needs import BuildNeed, needs_of
from shop.builds.services.stock import draw_for_build
from shop.models import Build, BuildDraw, BuildStage


@transaction.atomic
def draw_stage(
    *, build: Build, stage: BuildStage | None, now: datetime, user: Person | None = None
) -> tuple[list[BuildDraw], list[BuildNeed]]:
    """Draw what the lines of `stage` still need: what is reserved for them, then what is available.

    `stage` None means the lines of no stage. Returns the draws, and the lines that stay short: no
    more is drawn than the shelf has, so nothing here waits for a count. Raises Refusal where there
    is nothing to draw.
    """
    needs = [need for need in needs_of([build]) if need.line.stage == stage]
    lock_materials([need.line.material for need in needs if need.line.material])
    draws: list[BuildDraw] = []
    for need in needs:
        if quantity := _to_be_had(need):
            draws += draw_for_build(
                build=build, line=need.line, quantity=quantity, now=now, user=user
            )
    if not draws:
        name = stage.name if stage else "the lines without a stage"
        raise Refusal(f"Nothing to draw for {name}: it is drawn already, or not on the shelf.")
    keys = {need.line.pk for need in needs}
    left = [need for need in needs_of([build]) if need.line.pk in keys and need.still_needed]
    return draws, left


def _to_be_had(need: BuildNeed) -> Decimal:
    """Return how much of what is still needed lies on the shelf for this line, whole if pieces."""
    if need.line.material is None:
        return Decimal(0)
    # Read anew: an earlier line of the stage may have drawn from the same shelf.
    material = Material.objects.get(pk=need.line.material.pk)
    most = min(need.still_needed, need.promised + max(material.free, Decimal(0)))
    return most.to_integral_value(ROUND_FLOOR) if material.is_piece else most
