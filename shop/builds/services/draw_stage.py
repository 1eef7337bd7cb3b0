"""All that a stage needs drawn in one act."""

from datetime import datetime
from decimal import ROUND_FLOOR, Decimal

from django.db import transaction

from inventory.base.people import Person
from inventory.base.refusals import Refusal
from shop.builds.queries.needs import BuildNeed, needs_of
from shop.builds.services.stock import draw_for_build, free_now, lock_for_build
from shop.models import Build, BuildDraw, BuildStage
from shop.stages.locking import locked_build


@transaction.atomic
def draw_stage(
    *, build: Build, stage: BuildStage | None, now: datetime, user: Person | None = None
) -> tuple[list[BuildDraw], list[BuildNeed]]:
    """Draw what the lines of `stage` still need: what is reserved for them, then what is available.

    `stage` None means the lines of no stage. Returns the draws, and the lines that stay short: no
    more is drawn than the shelf has, so nothing here waits for a count. Raises Refusal where there
    is nothing to draw, or the build is cancelled.
    """
    build = locked_build(build)
    lock_for_build(build=build)
    needs = [need for need in needs_of([build]) if need.line.stage == stage]
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
    # Anew for each line: an earlier one may have drawn from the same shelf.
    free = max(free_now(material=need.line.material), Decimal(0))
    most = min(need.still_needed, need.promised + free)
    return most.to_integral_value(ROUND_FLOOR) if need.line.material.is_piece else most
