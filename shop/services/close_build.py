"""Close a finished build: its figures are compared and from then on count in estimates."""

from datetime import datetime

from django.db import transaction
from django.utils import timezone

from inventory.refusals import Refusal
from shop.locking import locked_build
from shop.models import Build, BuildState


@transaction.atomic
def close_build(*, build: Build, now: datetime) -> Build:
    """Mark `build` closed today. Raises Refusal unless it is finished."""
    build = locked_build(build)
    if build.state != BuildState.FINISHED:
        raise Refusal(
            f"{build.serial} is {build.get_state_display()}. Finish it before you close it."
        )
    build.state = BuildState.CLOSED
    build.closed_on = timezone.localtime(now).date()
    build.save(update_fields=["state", "closed_on"])
    return build
