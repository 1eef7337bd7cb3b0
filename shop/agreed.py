"""What was agreed about builds after they were ordered, as whoever keeps the orders tells it."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date
from typing import cast

from django.conf import settings
from django.utils.module_loading import import_string

from shop.calc.workdays import days_moved
from shop.models import Build


@dataclass(frozen=True, slots=True, kw_only=True)
class AgreedChange:
    """A change as the bench has to know it; `stages` and `lines` are keys of what it brought.

    `waits` tells that it is paid before it is made and not paid yet: not to be begun.
    """

    number: int
    title: str
    words: str
    agreed_on: date
    days_added: int
    waits: bool
    stages: tuple[int, ...]
    lines: tuple[int, ...]

    @property
    def days_words(self) -> str:
        """By how much the instrument is ready later or earlier; nothing where it is neither."""
        return days_moved(self.days_added)


Agreed = dict[int, tuple[AgreedChange, ...]]
"""Changes by the key of their build, in the order in which they were agreed."""


def changes_of(builds: Collection[Build], on: date) -> Agreed:
    """Return what was agreed about `builds` since, as it stands on the day.

    Orders are kept by an app that this one doesn't know: the settings name where to ask.
    """
    return cast(Agreed, import_string(settings.CHANGES_OF_BUILDS)(builds, on))
