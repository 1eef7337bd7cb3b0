"""Cancel a build that is not finished, and let go of what was put aside for it."""

from datetime import datetime
from typing import Any

from django.db import transaction

from inventory.refusals import Refusal
from inventory.services.release_promises import release_promises
from shop.locking import locked_build
from shop.models import Build, BuildNote, BuildState


@transaction.atomic
def cancel_build(*, build: Build, now: datetime, why: str = "", user: Any = None) -> Build:
    """Release every promise of `build` and keep `why` as a note; draws and hours stay.

    Raises Refusal when the build is finished, closed or cancelled already.
    """
    build = locked_build(build)
    if not build.is_open:
        raise Refusal(f"{build.serial} is {build.get_state_display()}; it can't be cancelled.")
    release_promises(holder=build.holder, now=now)
    build.state = BuildState.CANCELLED
    build.save(update_fields=["state"])
    BuildNote.objects.create(
        build=build, text=f"Cancelled. {why}".strip(), made_at=now, made_by=user
    )
    return build
