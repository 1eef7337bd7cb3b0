"""Put a time entry right: the correction is kept, and what was first recorded stays beside it."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Any

from django.db import transaction

from inventory.refusals import Refusal
from shop.calc.repair import seconds_between
from shop.clocking import interrupted_seconds
from shop.models import TimeCorrection, TimeEntry
from shop.services.log_hours import LONGEST_DAY
from shop.sharing import BY_HAND, Work, check_work, share_time, work_of

FIELDS = (
    "day",
    "started_at",
    "stopped_at",
    "seconds",
    "is_billable",
    "is_unsure",
    "is_remake",
    "reason",
    "note",
    "split_by",
)


@transaction.atomic
def correct_hours(
    *,
    entry: TimeEntry,
    now: datetime,
    user: Any,
    why: str = "",
    day: date | None = None,
    minutes: int | None = None,
    started_at: datetime | None = None,
    stopped_at: datetime | None = None,
    work: Sequence[Work] | None = None,
    split_by: str | None = None,
    is_billable: bool | None = None,
    is_remake: bool | None = None,
    reason: str | None = None,
    note: str | None = None,
) -> TimeEntry:
    """Change what is given, share the time anew and add a `TimeCorrection`.

    `minutes` alone moves the end, clock times give the length. Raises Refusal for an end before
    its start, parts by hand that no longer make up the whole, or what `log_hours` would refuse.
    """
    entry = TimeEntry.objects.select_for_update().get(pk=entry.pk)
    before = _as_it_stands(entry)
    kept_work = work_of(entry)
    given = {
        "day": day,
        "started_at": started_at,
        "stopped_at": stopped_at,
        "is_billable": is_billable,
        "is_remake": is_remake,
        "reason": reason,
        "note": note,
        "split_by": split_by,
    }
    for name, value in given.items():
        if value is not None:
            setattr(entry, name, value)
    _set_length(entry, minutes)
    entry.is_unsure = False
    entry.reason = "" if entry.is_billable else entry.reason
    work = kept_work if work is None else work
    check_work(work, is_billable=entry.is_billable, reason=entry.reason)
    entry.save(update_fields=FIELDS)
    _share_again(entry, work)
    after = _as_it_stands(entry)
    if after != before:
        TimeCorrection.objects.create(
            entry=entry, before=before, after=after, why=why, made_at=now, made_by=user
        )
    return entry


def _set_length(entry: TimeEntry, minutes: int | None) -> None:
    if minutes is not None:
        entry.seconds = minutes * 60
        if entry.started_at:
            lasted = timedelta(minutes=minutes, seconds=interrupted_seconds(entry))
            entry.stopped_at = entry.started_at + lasted
    elif entry.started_at and entry.stopped_at:
        whole = seconds_between(entry.started_at, entry.stopped_at)
        entry.seconds = whole - interrupted_seconds(entry)
    if entry.seconds is not None and entry.seconds <= 0:
        raise Refusal("The end lies after the start. Choose a later end.", field="stopped_at")
    if (entry.seconds or 0) > LONGEST_DAY * 60 and entry.source != TimeEntry.Source.SHEET:
        raise Refusal("A day has 24 hours. Make one entry for each day.", field="minutes")


def _share_again(entry: TimeEntry, work: Sequence[Work]) -> None:
    """Parts given by hand can't follow a new length by themselves: one build takes it whole."""
    if entry.split_by == BY_HAND and len(work) == 1:
        work = [Work(build=work[0].build, stage=work[0].stage, seconds=entry.seconds)]
    share_time(entry, work, entry.split_by)


def _as_it_stands(entry: TimeEntry) -> dict[str, Any]:
    """Return the effective values of `entry` and its shares as plain data."""
    values = {name: getattr(entry, name) for name in FIELDS}
    plain = {
        name: value.isoformat() if isinstance(value, date | datetime) else value
        for name, value in values.items()
    }
    shares = entry.shares.values("build", "stage", "seconds").order_by("build", "stage")
    return plain | {"shares": list(shares)}
