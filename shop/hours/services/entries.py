"""Time entries logged, corrected, caught up on, interrupted."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta
from typing import Any

from django.contrib.auth import get_user_model
from django.db import transaction
from django.utils import timezone

from inventory.base.people import Person, who
from inventory.base.queries import begin_of
from inventory.base.refusals import Refusal, check_happened
from shop.hours.bookkeeping import (
    BY_HAND,
    EQUAL,
    check_work,
    interrupted_seconds,
    locked_entry,
    share_time,
)
from shop.hours.calc.catch_up import parse_catch_up
from shop.hours.calc.repair import seconds_between
from shop.hours.queries.catch_up import bench_words, work_meant
from shop.hours.queries.work import Work, work_of
from shop.models import TimeCorrection, TimeEntry
from shop.stages.services import start_stage

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
    check_happened(day, now, "day")
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
        raise Refusal("Enter the time worked.", field="minutes")
    if minutes > LONGEST_DAY and source != TimeEntry.Source.SHEET:
        raise Refusal("A day has only 24 hours. Make one entry per day.", field="minutes")


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
    user: Person,
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
    if day:
        check_happened(day, now, "day")
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
            entry=entry, before=before, after=after, why=why, made_at=now, made_by=who(user)
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
        raise Refusal("The end must be after the start. Choose a later end.", field="stopped_at")
    if (entry.seconds or 0) > LONGEST_DAY * 60 and entry.source != TimeEntry.Source.SHEET:
        raise Refusal("A day has only 24 hours. Make one entry per day.", field="minutes")


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


@transaction.atomic
def catch_up_hours(
    *, person: Any, line: str, on: date, now: datetime, device_at: datetime | None = None
) -> TimeEntry:
    """Return the entry that `line`, typed on the day `on`, describes; of `person` unless it says.

    Raises Refusal with what was not understood or is missing.
    """
    try:
        caught = parse_catch_up(line, bench_words(), today=on)
    except ValueError as error:
        raise Refusal(str(error), field="line") from None
    if caught.person:
        person = get_user_model().objects.get(pk=caught.person)
    return log_hours(
        person=person,
        day=caught.day,
        minutes=caught.minutes,
        work=work_meant(caught),
        is_billable=caught.reason is None,
        reason=caught.reason or "",
        is_remake=caught.is_remake,
        now=now,
        device_at=device_at,
    )


@transaction.atomic
def record_interruption(
    *,
    entry: TimeEntry,
    started_at: datetime,
    minutes: int,
    reason: str,
    now: datetime,
    user: Person,
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
        raise Refusal("This entry was typed in, without a clock. Correct its time worked instead.")
    if start < entry.started_at or end > last:
        began, ended = (timezone.localtime(at) for at in (entry.started_at, last))
        raise Refusal(
            f"The interruption must be inside its entry, between {began:%H:%M} and {ended:%H:%M}.",
            field="started_at",
        )
