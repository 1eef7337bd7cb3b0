"""When one build can be ready: its stages laid out over the hours and open days of the shop.

Waiting (glue, cure, rest) is counted in calendar days after a stage: with one day, the next stage
starts the day after at the earliest. One pair of hands, one stage at a time.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta

from inventory.base.calc.hours import format_minutes

MOST_CLOSED_DAYS = 3660
"""A shop that is closed for longer than this in a row never opens."""

ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class StageWork:
    """The hands-on minutes of one stage, and the calendar days of waiting after it."""

    name: str
    minutes: int
    waiting_days: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenDays:
    """The shop's bench minutes from Monday to Sunday, less the days on which it is closed.

    `closed` maps a date to the reason: the name of a holiday, or the maker's own day off.
    """

    week: tuple[int, int, int, int, int, int, int]
    closed: Mapping[date, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if min(self.week) < 0 or not any(self.week):
            raise ValueError("Enter bench hours for at least one weekday.")

    def minutes_on(self, day: date) -> int:
        """Return the bench minutes of `day`: 0 when the shop is closed."""
        return 0 if day in self.closed else self.week[day.weekday()]

    def days_off(self, first: date, last: date) -> tuple[tuple[date, str], ...]:
        """Return the closed days from `first` to `last` that would have been worked otherwise."""
        return tuple(
            (day, reason)
            for day, reason in sorted(self.closed.items())
            if first <= day <= last and self.week[day.weekday()]
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class ScheduledStage:
    """One stage on the calendar. The next stage can start on `free` at the earliest.

    `days_off` are the closed days, with their reasons, that moved or stretched the stage.
    """

    name: str
    minutes: int
    starts: date
    finishes: date
    waiting_days: int
    free: date
    days_off: tuple[tuple[date, str], ...]

    def words(self) -> str:
        """Return the step as a line: `Binding: 7 h 00, 2027-03-16 to 2027-03-17, then ...`."""
        days = f"{self.starts}"
        if self.finishes != self.starts:
            days += f" to {self.finishes}"
        line = f"{self.name}: {format_minutes(self.minutes)}, {days}"
        if self.waiting_days:
            plural = "day" if self.waiting_days == 1 else "days"
            line += f", then {self.waiting_days} {plural} waiting, to {self.free}"
        if self.days_off:
            line += ", closed " + ", ".join(f"{day} ({why})" for day, why in self.days_off)
        return line


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """The steps of a build in order, from the first day at the bench to the day it is ready."""

    starts: date
    ready: date
    steps: tuple[ScheduledStage, ...]


def days_moved(days: int) -> str:
    """Say by how many days something is later or earlier; nothing where it is neither."""
    count = abs(days)
    which = "later" if days > 0 else "earlier"
    return f"{count} day{'' if count == 1 else 's'} {which}" if count else ""


def plan_forward(stages: Sequence[StageWork], open_days: OpenDays, *, start: date) -> Plan:
    """Return the earliest plan that begins on `start` or after; `ready` includes the last wait.

    Raises ValueError without stages, on negative figures, or when the shop never opens.
    """
    _check(stages)
    bench = _Bench(open_days, start, ONE_DAY)
    steps = []
    for stage in stages:
        wanted = bench.day
        first, last = bench.work(stage.minutes)
        steps.append(_step(stage, first, last, open_days.days_off(wanted, last)))
        bench.not_before(steps[-1].free)
    return Plan(starts=steps[0].starts, ready=steps[-1].free, steps=tuple(steps))


def plan_backward(stages: Sequence[StageWork], open_days: OpenDays, *, due: date) -> Plan:
    """Return the latest plan that is ready on `due` or before: when to begin, when to ask by.

    A part or a decision that a stage needs must be there on the day the stage starts. Raises
    ValueError as `plan_forward` does.
    """
    _check(stages)
    bench = _Bench(open_days, due, -ONE_DAY)
    steps = []
    for stage in reversed(stages):
        bench.not_before(bench.day - stage.waiting_days * ONE_DAY)
        wanted = bench.day
        last, first = bench.work(stage.minutes)
        steps.append(_step(stage, first, last, open_days.days_off(first, wanted)))
    return Plan(starts=steps[-1].starts, ready=steps[0].free, steps=tuple(reversed(steps)))


class _Bench:
    """The maker's time, used up day by day in one direction: forward, or backward from the end."""

    def __init__(self, open_days: OpenDays, day: date, towards: timedelta) -> None:
        self.open_days = open_days
        self.towards = towards
        self.day = day
        self.left = open_days.minutes_on(day)

    def not_before(self, day: date) -> None:
        """Move on to `day`, with all of its minutes, unless it has been reached already."""
        if (day - self.day) // self.towards > 0:
            self.day = day
            self.left = self.open_days.minutes_on(day)

    def work(self, minutes: int) -> tuple[date, date]:
        """Use up `minutes` and return the days of the first and the last of them."""
        # What takes no minute needs none left: it fits into a day that is used up already.
        if minutes or not self.open_days.minutes_on(self.day):
            self._find_open_day()
        first = self.day
        while minutes > self.left:
            minutes -= self.left
            self.not_before(self.day + self.towards)
            self._find_open_day()
        self.left -= minutes
        return first, self.day

    def _find_open_day(self) -> None:
        closed = 0
        while not self.left:
            self.not_before(self.day + self.towards)
            closed += 1
            if closed > MOST_CLOSED_DAYS:
                raise ValueError(f"The workshop has no working day within ten years of {self.day}.")


def _step(
    stage: StageWork, first: date, last: date, days_off: tuple[tuple[date, str], ...]
) -> ScheduledStage:
    return ScheduledStage(
        name=stage.name,
        minutes=stage.minutes,
        starts=first,
        finishes=last,
        waiting_days=stage.waiting_days,
        free=last + stage.waiting_days * ONE_DAY,
        days_off=days_off,
    )


def _check(stages: Sequence[StageWork]) -> None:
    if not stages:
        raise ValueError("A plan needs at least one stage.")
    for stage in stages:
        if stage.minutes < 0 or stage.waiting_days < 0:
            raise ValueError(f"{stage.name}: hours and waiting days can't be below 0.")
