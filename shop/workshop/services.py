"""Choose the units one person sees."""

from typing import Any

from django.db import transaction

from inventory.base.refusals import Refusal
from inventory.models import Workshop
from shop.models import Preference

CHOICES = ("", Workshop.METRIC, Workshop.IMPERIAL)


@transaction.atomic
def choose_units(*, person: Any, units: str) -> Preference:
    """Keep what `person` chose; nothing means the workshop's own.

    Raises Refusal on another word.
    """
    if units not in CHOICES:
        raise Refusal(
            f"Units are {Workshop.METRIC} or {Workshop.IMPERIAL}, or empty for the workshop’s.",
            field="units",
        )
    return Preference.objects.update_or_create(user=person, defaults={"units": units})[0]
