"""Take back a tap on the clock, within ten seconds."""

from datetime import datetime, timedelta
from typing import Any

from django.db import transaction

from inventory.refusals import Refusal
from shop.clocking import check_end, locked_entry
from shop.models import BuildStage, TimeCorrection, TimeEntry
from shop.sharing import share_time, work_of

UNDO_SECONDS = 10
ALLOWANCE = timedelta(seconds=UNDO_SECONDS + 5)
"""Five seconds more than the button is shown: the tap itself takes time."""

UNDONE = "undone"


@transaction.atomic
def undo_clock(
    *, entry: TimeEntry, now: datetime, user: Any, at: datetime | None = None
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
            f"A tap can be undone for {UNDO_SECONDS} seconds. Change the entry instead, or stop it."
        )


def _run_on_what_was_switched(entry: TimeEntry, now: datetime, user: Any) -> None:
    stopped = TimeEntry.objects.select_for_update().filter(
        person_id=entry.person_id, raw_stopped_at=entry.started_at, within=None
    )
    for other in stopped.exclude(pk=entry.pk):
        _run_on(other, now, user)


def _run_on(entry: TimeEntry, now: datetime, user: Any) -> None:
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
        made_by=user,
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
