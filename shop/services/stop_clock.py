"""Stop a running clock."""

from collections.abc import Sequence
from datetime import datetime

from django.db import transaction

from inventory.refusals import Refusal
from shop.clocking import check_end, end_entry, locked_entry
from shop.models import TimeEntry
from shop.sharing import BY_HAND, Work, share_time


@transaction.atomic
def stop_clock(
    *,
    entry: TimeEntry,
    now: datetime,
    at: datetime | None = None,
    device_at: datetime | None = None,
    work: Sequence[Work] = (),
) -> TimeEntry:
    """Return `entry` stopped at `at` (else `now`), its time shared as it said when it began.

    `work` gives the parts by hand instead. A clock that ran past midnight counts up to midnight
    and is marked unsure; the raw end is kept. Raises Refusal for an end before the start, or a
    clock that was stopped already.
    """
    entry = locked_entry(entry)
    at = at or now
    check_end(entry, at)
    if not entry.is_running and not entry.is_unsure:
        raise Refusal("This clock was stopped already. Change the entry instead.")
    end_entry(entry, at, device_at)
    if work:
        entry.split_by = BY_HAND
        entry.save(update_fields=["split_by"])
        share_time(entry, work, BY_HAND)
    return entry
