"""Set a build, or stages of it, aside: kept in sight, but not counted in estimates."""

from collections.abc import Collection

from django.db import transaction

from inventory.base.refusals import Refusal
from shop.hours.bookkeeping import keep_hours
from shop.models import Build
from shop.stages.locking import locked_finished


@transaction.atomic
def leave_out_of_estimates(
    *, build: Build, is_set_aside: bool, stages: Collection[int] = ()
) -> Build:
    """Set `build` aside or count it again; with keys of its `stages` only those of its stages.

    Raises Refusal for a stage of another build.
    """
    if not stages:
        build.is_set_aside = is_set_aside
        build.save(update_fields=["is_set_aside"])
        return build
    found = build.stages.filter(pk__in=stages)
    if found.count() < len(set(stages)):
        raise Refusal(f"{build} has no such stage. Reload the page.", field="stages")
    found.update(is_set_aside=is_set_aside)
    keep_hours(locked_finished([build.pk]))
    return build
