"""Settle a stop that was forgotten, or a clock that midnight paused, by choosing its end."""

from datetime import datetime
from typing import Any

from django.db import transaction

from inventory.refusals import Refusal
from shop.clocking import check_end, end_entry, locked_entry
from shop.models import TimeEntry
from shop.services.correct_hours import correct_hours

WHY = "forgotten stop"


@transaction.atomic
def settle_forgotten_stop(
    *,
    entry: TimeEntry,
    end: datetime,
    now: datetime,
    user: Any,
    noticed_at: datetime | None = None,
    device_at: datetime | None = None,
    why: str = WHY,
) -> TimeEntry:
    """Return `entry` ended at `end`; how long it had run at `noticed_at` (else `now`) stays raw.

    Raises Refusal for an end that is not between the start and then, or an entry that is settled.
    """
    entry = locked_entry(entry)
    noticed_at = noticed_at or now
    check_end(entry, end)
    if end > max(noticed_at, entry.raw_stopped_at or noticed_at):
        raise Refusal("This end is still to come. Choose an earlier one.", field="end")
    if entry.is_running:
        end_entry(entry, noticed_at, device_at)
    elif not entry.is_unsure:
        raise Refusal("This clock was stopped already. Change the entry instead.")
    return correct_hours(entry=entry, stopped_at=end, now=now, user=user, why=why)
