"""Note days that a build lost, and to what."""

from datetime import date

from django.db import transaction

from inventory.refusals import Refusal
from shop.models import Build, LostDays

MOST_DAYS = 999


@transaction.atomic
def note_lost_days(*, build: Build, days: int, reason: str, on: date, note: str = "") -> LostDays:
    """Return the note; it may be made while the build goes on or after it is closed.

    Raises Refusal without a reason and on a number of days that can't be meant.
    """
    reason = " ".join(reason.split())
    if not reason:
        raise Refusal("Say what the days were lost to.", field="reason")
    if not 0 < days <= MOST_DAYS:
        raise Refusal(f"Days lost are 1 to {MOST_DAYS}.", field="days")
    return LostDays.objects.create(build=build, days=days, reason=reason, note=note, noted_on=on)
