"""Sharing an entry's time, and mending a clock that runs. The caller holds the lock."""

from collections.abc import Collection, Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db.models import Sum
from django.utils import timezone

from inventory.base.refusals import Refusal
from shop.hours.calc.repair import midnight_passed, seconds_between
from shop.hours.calc.splitting import split_by_hand, split_by_likely, split_equally
from shop.hours.queries.sums import seconds_by_stage
from shop.hours.queries.work import Work, work_of
from shop.models import BuildHours, TimeEntry, TimeShare
from shop.stages.locking import locked_finished

EQUAL, LIKELY, BY_HAND = "equal", "likely", "hand"
WAYS = {EQUAL: "equally", LIKELY: "by planned hours", BY_HAND: "by hand"}


def check_work(work: Sequence[Work], *, is_billable: bool, reason: str) -> None:
    """Raise Refusal when the entry names no build and no reason, or a stage of another build."""
    if is_billable and not work:
        raise Refusal("Choose a build, or the reason these hours are not billable.", field="work")
    if not is_billable and not reason.strip():
        raise Refusal(
            "Enter the reason these hours are not billable, such as clean-up.", field="reason"
        )
    for one in work:
        if one.stage and one.stage.build_id != one.build.pk:
            raise Refusal(f"{one.stage} is not a stage of {one.build}.", field="work")
    if len({(one.build.pk, one.stage and one.stage.pk) for one in work}) < len(work):
        raise Refusal("The same stage of a build is listed twice.", field="work")


def share_time(entry: TimeEntry, work: Sequence[Work], split_by: str) -> None:
    """Write the shares of `entry` anew, so that they add up to its seconds; 0 while it runs."""
    seconds = entry.seconds or 0
    try:
        parts = _parts(seconds, work, split_by if entry.seconds is not None else EQUAL)
    except ValueError as error:
        raise Refusal(str(error), field="work") from None
    finished = locked_finished(
        {*entry.shares.values_list("build", flat=True), *(one.build.pk for one in work)}
    )
    # Written whole, not patched: shares that add up to their entry can't be reached row by row.
    entry.shares.all().delete()
    TimeShare.objects.bulk_create(
        TimeShare(entry=entry, build=one.build, stage=one.stage, seconds=part)
        for one, part in zip(work, parts, strict=True)
    )
    keep_hours(finished)


def keep_hours(builds: Collection[int]) -> None:
    """Add up the hours of `builds`, which are finished and locked, and write the sums down."""
    if not builds:
        return
    sums = seconds_by_stage(TimeShare.objects.filter(build__in=builds))
    BuildHours.objects.bulk_create(
        [BuildHours(build_id=pk, stages=sums.get(pk, [])) for pk in builds],
        update_conflicts=True,
        unique_fields=["build"],
        update_fields=["stages"],
    )


def _parts(seconds: int, work: Sequence[Work], split_by: str) -> list[int]:
    if not work:
        return []
    if split_by == BY_HAND:
        return split_by_hand(seconds, [one.seconds or 0 for one in work])
    if split_by == LIKELY:
        planned = [one.stage.hours_planned if one.stage else Decimal(0) for one in work]
        if any(planned):
            return split_by_likely(seconds, planned)
    return split_equally(seconds, len(work))


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
        raise Refusal("This entry was typed in, without a clock. Correct its time worked instead.")
    if at < entry.started_at:
        started = timezone.localtime(entry.started_at)
        raise Refusal(
            f"The clock started at {started:%H:%M} on {started.day} {started:%B}, after this "
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
