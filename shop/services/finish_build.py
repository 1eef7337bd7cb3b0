"""Finish a build: the instrument is done and leaves the bench."""

from datetime import datetime

from django.db import transaction
from django.utils import timezone

from inventory.refusals import Refusal
from inventory.services.release_promises import release_promises
from inventory.services.use_drawn import use_drawn
from shop.locking import locked_build
from shop.models import Build, BuildState


@transaction.atomic
def finish_build(*, build: Build, now: datetime) -> Build:
    """Mark `build` finished today and give back what was put aside and never drawn.

    The pieces that were drawn for it and kept are *used* from now on. Stages nobody finished stay
    as they are. Raises Refusal when it is no longer open.
    """
    build = locked_build(build)
    if not build.is_open:
        raise Refusal(f"{build.serial} is {build.get_state_display()} already.")
    release_promises(holder=build.holder, now=now)
    use_drawn(holder=build.holder, now=now)
    build.state = BuildState.FINISHED
    build.finished_on = timezone.localtime(now).date()
    build.started_on = build.started_on or build.finished_on
    build.save(update_fields=["state", "finished_on", "started_on"])
    return build
