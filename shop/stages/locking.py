"""The one place that locks a build."""

from collections.abc import Collection

from shop.models import FINISHED_STATES, Build


def locked_build(build: Build) -> Build:
    """Return `build` as it stands now, locked until the transaction ends."""
    return Build.objects.select_for_update().get(pk=build.pk)


def locked_finished(builds: Collection[int]) -> list[int]:
    """Lock those of `builds` that are finished, in key order, and return their keys."""
    rows = Build.objects.filter(pk__in=builds, state__in=FINISHED_STATES)
    return list(rows.select_for_update().order_by("pk").values_list("pk", flat=True))
