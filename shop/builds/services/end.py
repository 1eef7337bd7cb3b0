"""Finish, close or cancel a build."""

from datetime import datetime

from django.db import transaction
from django.utils import timezone

from inventory.base.people import Person, signed_in
from inventory.base.refusals import Refusal
from inventory.ledger.services.issue import mark_consumed
from inventory.reservations.services import release_reservations
from shop.hours.bookkeeping import keep_hours
from shop.models import Build, BuildNote, BuildState
from shop.stages.locking import locked_build


@transaction.atomic
def finish_build(*, build: Build, now: datetime) -> Build:
    """Mark `build` finished today and give back what was put aside and never drawn.

    The pieces that were drawn for it and kept are *used* from now on. Stages nobody finished stay
    as they are. Raises Refusal when it is no longer open.
    """
    build = locked_build(build)
    if not build.is_open:
        raise Refusal(f"{build.serial} is already {build.get_state_display()}.")
    release_reservations(holder=build.holder, now=now)
    mark_consumed(holder=build.holder, now=now)
    build.state = BuildState.FINISHED
    build.finished_on = timezone.localtime(now).date()
    build.started_on = build.started_on or build.finished_on
    build.save(update_fields=["state", "finished_on", "started_on"])
    keep_hours([build.pk])
    return build


@transaction.atomic
def close_build(*, build: Build, now: datetime) -> Build:
    """Mark `build` closed today. Raises Refusal unless it is finished."""
    build = locked_build(build)
    if build.state != BuildState.FINISHED:
        raise Refusal(
            f"{build.serial} is {build.get_state_display()}. Mark it done before you close it out."
        )
    build.state = BuildState.CLOSED
    build.closed_on = timezone.localtime(now).date()
    build.save(update_fields=["state", "closed_on"])
    return build


@transaction.atomic
def cancel_build(
    *, build: Build, now: datetime, why: str = "", user: Person | None = None
) -> Build:
    """Release every promise of `build` and keep `why` as a note; draws and hours stay.

    Raises Refusal when the build is finished, closed or cancelled already.
    """
    build = locked_build(build)
    if not build.is_open:
        raise Refusal(f"{build.serial} is {build.get_state_display()}; it can't be cancelled.")
    release_reservations(holder=build.holder, now=now)
    build.state = BuildState.CANCELLED
    build.save(update_fields=["state"])
    BuildNote.objects.create(
        build=build, text=f"Cancelled. {why}".strip(), made_at=now, made_by=signed_in(user)
    )
    return build
