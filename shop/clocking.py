"""What starting, stopping and mending a running clock have in common."""

from datetime import datetime
from typing import Any

from django.db.models import Sum
from django.utils import timezone

from inventory.refusals import Refusal
from shop.calc.repair import midnight_passed, seconds_between
from shop.models import TimeEntry
from shop.sharing import share_time, work_of


def locked_entry(entry: TimeEntry) -> TimeEntry:
    """Return `entry` as it stands now, locked until the transaction ends."""
    return TimeEntry.objects.select_for_update().get(pk=entry.pk)


def interrupted_seconds(entry: TimeEntry) -> int:
    """Return how much of `entry` went to interruptions, which have entries of their own."""
    total = entry.interruptions.aggregate(total=Sum("seconds"))["total"]
    return total or 0


def check_end(entry: TimeEntry, at: datetime) -> None:
    """Raise Refusal when `entry` has no clock or `at` lies before its start."""
    if entry.started_at is None:
        raise Refusal("This entry was typed in and has no clock. Change its length instead.")
    if at < entry.started_at:
        started = timezone.localtime(entry.started_at)
        raise Refusal(
            f"The clock was started at {started:%H:%M} on {started.day} {started:%B}, after this "
            "end. Choose a later end.",
            field="at",
        )


def end_entry(entry: TimeEntry, at: datetime, device_at: datetime | None = None) -> None:
    """Write the raw end of `entry` and share its time.

    A clock that ran into the next day counts up to midnight and is marked unsure.
    """
    started = timezone.localtime(entry.started_at)
    midnight = midnight_passed(started, at)
    entry.raw_stopped_at = at
    entry.raw_seconds = seconds_between(started, at)
    entry.device_stopped_at = device_at
    entry.stopped_at = midnight or at
    entry.is_unsure = midnight is not None
    entry.seconds = max(seconds_between(started, entry.stopped_at) - interrupted_seconds(entry), 0)
    entry.save(
        update_fields=[
            "raw_stopped_at",
            "raw_seconds",
            "device_stopped_at",
            "stopped_at",
            "is_unsure",
            "seconds",
        ]
    )
    share_time(entry, work_of(entry), entry.split_by)


def running_of(person: Any) -> list[TimeEntry]:
    """Return the clocks of `person` that run now, locked, the longest running first."""
    rows = TimeEntry.objects.select_for_update().filter(person=person, seconds=None)
    return list(rows.order_by("started_at", "pk"))
