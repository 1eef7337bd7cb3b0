"""Note that part of an entry went to something that can't be billed."""

from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone

from inventory.refusals import Refusal
from shop.clocking import locked_entry
from shop.models import TimeEntry
from shop.services.correct_hours import correct_hours
from shop.services.log_hours import log_hours


@transaction.atomic
def note_interruption(
    *,
    entry: TimeEntry,
    started_at: datetime,
    minutes: int,
    reason: str,
    now: datetime,
    user: Any,
    device_at: datetime | None = None,
) -> TimeEntry:
    """Return an entry of `minutes` within `entry`, whose own time becomes that much shorter.

    `entry` may still run. Raises Refusal when the interruption is not wholly inside it, or has no
    reason.
    """
    entry = locked_entry(entry)
    _check_inside(entry, started_at, started_at + timedelta(minutes=minutes), now)
    interruption = log_hours(
        person=entry.person,
        day=timezone.localtime(started_at).date(),
        minutes=minutes,
        now=now,
        is_billable=False,
        reason=reason,
        started_at=started_at,
        device_at=device_at,
    )
    interruption.within = entry
    interruption.save(update_fields=["within"])
    if not entry.is_running:
        correct_hours(
            entry=entry,
            stopped_at=entry.stopped_at,
            now=now,
            user=user,
            why=f"interrupted: {reason}",
        )
    return interruption


def _check_inside(entry: TimeEntry, start: datetime, end: datetime, now: datetime) -> None:
    last = entry.stopped_at or now
    if entry.started_at is None:
        raise Refusal("This entry was typed in and has no clock. Change its length instead.")
    if start < entry.started_at or end > last:
        began, ended = (timezone.localtime(at) for at in (entry.started_at, last))
        raise Refusal(
            f"An interruption lies inside its entry, between {began:%H:%M} and {ended:%H:%M}.",
            field="started_at",
        )
