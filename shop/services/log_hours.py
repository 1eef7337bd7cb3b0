"""Log hours that were worked: typed in afterwards, or read from a sheet."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Any

from django.db import transaction

from inventory.days import begin_of
from inventory.refusals import Refusal
from shop.models import TimeEntry
from shop.services.start_stage import start_stage
from shop.sharing import EQUAL, Work, check_work, share_time

LONGEST_DAY = 24 * 60


@transaction.atomic
def log_hours(
    *,
    person: Any,
    day: date,
    minutes: int,
    now: datetime,
    work: Sequence[Work] = (),
    split_by: str = EQUAL,
    is_billable: bool = True,
    is_remake: bool = False,
    reason: str = "",
    note: str = "",
    started_at: datetime | None = None,
    source: str = TimeEntry.Source.TYPED,
    device_at: datetime | None = None,
) -> TimeEntry:
    """Return a new entry of `minutes` on `day`, shared over `work` as `split_by` says.

    With `started_at` the entry has clock times too. A stage that was worked on, as typed in, has
    begun: then, or on that day. Raises Refusal for no time at all, more than a day, or hours that
    belong to no build and have no reason.
    """
    _check_minutes(minutes, source)
    check_work(work, is_billable=is_billable, reason=reason)
    stopped_at = started_at + timedelta(minutes=minutes) if started_at else None
    entry = TimeEntry.objects.create(
        person=person,
        source=source,
        day=day,
        raw_started_at=started_at,
        raw_stopped_at=stopped_at,
        raw_seconds=minutes * 60,
        started_at=started_at,
        stopped_at=stopped_at,
        seconds=minutes * 60,
        is_billable=is_billable,
        is_remake=is_remake,
        reason="" if is_billable else reason.strip(),
        note=note,
        split_by=split_by,
        recorded_at=now,
        device_at=device_at,
    )
    share_time(entry, work, split_by)
    if source == TimeEntry.Source.TYPED:
        _begin_stages(work, started_at or begin_of(day))
    return entry


def _begin_stages(work: Sequence[Work], began: datetime) -> None:
    for one in work:
        if one.stage:
            start_stage(stage=one.stage, now=began)


def _check_minutes(minutes: int, source: str) -> None:
    if minutes <= 0:
        raise Refusal("An entry is longer than nothing. Write the time worked.", field="minutes")
    if minutes > LONGEST_DAY and source != TimeEntry.Source.SHEET:
        raise Refusal("A day has 24 hours. Make one entry for each day.", field="minutes")
