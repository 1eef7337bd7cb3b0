"""Photos of a build that its client may see."""

from django.db.models import QuerySet

from shop.models import Build, BuildNote


def released_photos(build: Build) -> QuerySet[BuildNote]:
    """Return the photos of `build` that the maker released to the client, the newest first."""
    return build.notes.filter(is_released=True).exclude(photo="")
