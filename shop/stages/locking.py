"""The one place that locks a build."""

from shop.models import Build


def locked_build(build: Build) -> Build:
    """Return `build` as it stands now, locked until the transaction ends."""
    return Build.objects.select_for_update().get(pk=build.pk)
