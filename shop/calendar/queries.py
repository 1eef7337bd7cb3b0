"""The shop's open days, and by when what is left of a build has to begin."""

from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from decimal import ROUND_CEILING, Decimal

from shop.calendar.calc import OpenDays, Plan, StageWork, plan_backward
from shop.hours.queries.hours import RecordedStage
from shop.models import Build, DayOff
from shop.workshop.queries import working_week

LOOKING_BACK = timedelta(days=3 * 365)
"""A plan that begins longer than this before its day knows of no days off there."""


def open_days(start: date) -> OpenDays:
    """The working week and the days off from `start` on."""
    week = working_week()
    monday, tuesday, wednesday, thursday, friday, saturday, sunday = (
        int(hours * 60) for hours in week.hours
    )
    return OpenDays(
        week=(monday, tuesday, wednesday, thursday, friday, saturday, sunday),
        closed=_closed_days(start),
    )


def latest_plan(build: Build, stages: Iterable[RecordedStage]) -> Plan | None:
    """Lay what is left of an open build back from its promised day, one stage after another.

    What was worked on a stage counts as done. None where no day is promised, nothing is left, or
    the shop never opens. Two queries.
    """
    left = [
        stage_work(one.stage.name, max(-one.over_minutes, Decimal(0)), one.stage.waiting_days)
        for one in stages
        if one.stage and not one.stage.finished_at
    ]
    if not build.is_open or build.promised_on is None or not left:
        return None
    try:
        days = open_days(build.promised_on - LOOKING_BACK)
        return plan_backward(left, days, due=build.promised_on)
    except (ValueError, OverflowError):
        return None


def stage_work(name: str, minutes: Decimal, waiting_days: Decimal) -> StageWork:
    """Return a stage as plans take it: whole minutes and whole days of waiting."""
    return StageWork(
        name=name,
        minutes=int(minutes),
        waiting_days=int(waiting_days.to_integral_value(ROUND_CEILING)),
    )


def _closed_days(start: date) -> Mapping[date, str]:
    return {
        stretch.first + timedelta(days=number): stretch.reason or "day off"
        for stretch in DayOff.objects.filter(last__gte=start)
        for number in range((stretch.last - stretch.first).days + 1)
    }
