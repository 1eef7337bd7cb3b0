"""The clock: started, stopped, switched, undone, settled."""

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Any

from django.db import transaction
from django.utils import timezone

from inventory.base.people import Person, who
from inventory.base.refusals import Refusal
from shop.hours.bookkeeping import (
    BY_HAND,
    EQUAL,
    check_end,
    check_work,
    end_entry,
    locked_entry,
    running_of,
    share_time,
)
from shop.hours.calc.repair import midnight_passed
from shop.hours.queries.clock import run_past_midnight
from shop.hours.queries.work import Work, work_of
from shop.hours.services.entries import correct_hours
from shop.models import BuildStage, TimeCorrection, TimeEntry
from shop.stages.services import start_stage


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
        raise Refusal("This clock is already stopped. Correct the entry instead.")
    end_entry(entry, at, device_at)
    if work:
        entry.split_by = BY_HAND
        entry.save(update_fields=["split_by"])
        share_time(entry, work, BY_HAND)
    return entry


@transaction.atomic
def switch_clock(
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
) -> tuple[list[TimeEntry], TimeEntry]:
    """Return the entries of `person` that were stopped at `at` (else `now`) and the new one.

    A clock that was started after `at`, on another device, runs on. Raises Refusal as
    `start_clock` does, and then nothing is stopped.
    """
    at = at or now
    stopped = [entry for entry in running_of(person) if entry.started_at and entry.started_at <= at]
    for entry in stopped:
        end_entry(entry, at, device_at)
    started = start_clock(
        person=person,
        now=now,
        at=at,
        work=work,
        split_by=split_by,
        is_billable=is_billable,
        is_remake=is_remake,
        reason=reason,
        note=note,
        device_at=device_at,
        skew_seconds=skew_seconds,
    )
    return stopped, started


UNDO_SECONDS = 10
ALLOWANCE = timedelta(seconds=UNDO_SECONDS + 5)
"""Five seconds more than the button is shown: the tap itself takes time."""

UNDONE = "undone"


@transaction.atomic
def undo_clock(
    *, entry: TimeEntry, now: datetime, user: Person, at: datetime | None = None
) -> TimeEntry:
    """Take back the last tap on `entry` before `at` (else `now`): its stop, start or switch.

    A stop taken back runs on. A start taken back leaves an entry of no time, for no build, whose
    reason is `undone`; a stage that it started waits again, and clocks that it stopped run on.
    Raises Refusal after ten seconds.
    """
    entry = locked_entry(entry)
    at = at or now
    check_end(entry, at)
    if entry.is_running:
        _check_recent(entry.started_at, at)
        _run_on_what_was_switched(entry, now, user)
        _take_back_start(entry)
    else:
        _check_recent(entry.raw_stopped_at, at)
        _run_on(entry, now, user)
    return entry


def _check_recent(tapped: datetime | None, at: datetime) -> None:
    if tapped is None or not timedelta(0) <= at - tapped <= ALLOWANCE:
        raise Refusal(
            f"A tap can be undone for {UNDO_SECONDS} seconds. Correct the entry instead, or "
            "stop it."
        )


def _run_on_what_was_switched(entry: TimeEntry, now: datetime, user: Person) -> None:
    stopped = TimeEntry.objects.select_for_update().filter(
        person_id=entry.person_id, raw_stopped_at=entry.started_at, within=None
    )
    for other in stopped.exclude(pk=entry.pk):
        _run_on(other, now, user)


def _run_on(entry: TimeEntry, now: datetime, user: Person) -> None:
    before = {"stopped_at": str(entry.raw_stopped_at), "seconds": entry.seconds}
    work = work_of(entry)
    entry.stopped_at = entry.raw_stopped_at = entry.device_stopped_at = None
    entry.seconds = entry.raw_seconds = None
    entry.is_unsure = False
    entry.save(
        update_fields=[
            "stopped_at",
            "raw_stopped_at",
            "device_stopped_at",
            "seconds",
            "raw_seconds",
            "is_unsure",
        ]
    )
    share_time(entry, work, entry.split_by)
    TimeCorrection.objects.create(
        entry=entry,
        before=before,
        after={"stopped_at": None, "seconds": None},
        why="stop undone",
        made_at=now,
        made_by=who(user),
    )


def _take_back_start(entry: TimeEntry) -> None:
    stages = BuildStage.objects.filter(time_shares__entry=entry, started_at=entry.started_at)
    BuildStage.objects.filter(pk__in=list(stages.values_list("pk", flat=True))).update(
        started_at=None
    )
    entry.stopped_at = entry.raw_stopped_at = entry.started_at
    entry.seconds = entry.raw_seconds = 0
    entry.is_billable = False
    entry.reason = UNDONE
    entry.save(
        update_fields=[
            "stopped_at",
            "raw_stopped_at",
            "seconds",
            "raw_seconds",
            "is_billable",
            "reason",
        ]
    )
    share_time(entry, [], entry.split_by)


WHY = "forgotten stop"


@transaction.atomic
def settle_forgotten_stop(
    *,
    entry: TimeEntry,
    end: datetime,
    now: datetime,
    user: Person,
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
        raise Refusal("This end is in the future. Choose an earlier one.", field="end")
    if entry.is_running:
        end_entry(entry, noticed_at, device_at)
    elif not entry.is_unsure:
        raise Refusal("This clock is already stopped. Correct the entry instead.")
    return correct_hours(entry=entry, stopped_at=end, now=now, user=user, why=why)


@transaction.atomic
def pause_past_midnight(*, now: datetime) -> list[TimeEntry]:
    """End every clock started on an earlier day at its midnight, to be settled by its person."""
    paused = []
    for entry in run_past_midnight(now).select_for_update():
        midnight = entry.started_at and midnight_passed(timezone.localtime(entry.started_at), now)
        if midnight:
            end_entry(entry, midnight)
            paused.append(entry)
    return paused
