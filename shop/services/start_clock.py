"""Start the clock on a stage of a build, of a whole batch, or on time that can't be billed."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.db import transaction
from django.utils import timezone

from shop.models import TimeEntry
from shop.services.start_stage import start_stage
from shop.sharing import EQUAL, Work, check_work, share_time


@transaction.atomic
def start_clock(
    *,
    person: Any,
    now: datetime,
    at: datetime | None = None,
    work: Sequence[Work] = (),
    split_by: str = EQUAL,
    is_billable: bool = True,
    is_remake: bool = False,
    reason: str = "",
    note: str = "",
    device_at: datetime | None = None,
    skew_seconds: int = 0,
) -> TimeEntry:
    """Return an entry that runs from `at` (else `now`), its time shared over `work` once it stops.

    The named stages are started too. Other clocks of the person run on: `switch_clock` stops them.
    Raises Refusal for time that belongs to no build and has no reason.
    """
    check_work(work, is_billable=is_billable, reason=reason)
    at = at or now
    entry = TimeEntry.objects.create(
        person=person,
        day=timezone.localtime(at).date(),
        raw_started_at=at,
        started_at=at,
        is_billable=is_billable,
        is_remake=is_remake,
        reason="" if is_billable else reason.strip(),
        note=note,
        split_by=split_by,
        recorded_at=now,
        device_at=device_at,
        skew_seconds=skew_seconds,
    )
    share_time(entry, work, split_by)
    for one in work:
        if one.stage:
            start_stage(stage=one.stage, now=at)
    return entry
