"""What the queue says, as calendar days."""

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from hashlib import sha256
from typing import TYPE_CHECKING, Any

from django.core.cache import cache

from inventory.base.calc.days import day_words
from inventory.base.refusals import Refusal
from shop.models import Build, QueueForecast
from shop.queue.calc.records import QueueError
from shop.queue.queries.books import QueueBooks, queue_books

if TYPE_CHECKING:
    from shop.queue.calc.outlook import Outlook, Queue

ENGINE = "3"
"""Raised when the arithmetic changes, so that what was worked out before is not shown again."""

FEW_DAYS = 1
DRAWS = 400
A_DAY = 24 * 3600


@dataclass(frozen=True, slots=True, kw_only=True)
class StageForecast:
    """A stage as it is likely to go. early: it starts before that day in one of ten cases.

    stretches: begin and end of each stretch of work, in days from the day of the forecast, with
    the part of the day. free: when what follows can begin.
    """

    stage: int
    name: str
    stretches: tuple[tuple[float, float], ...]
    starts: date
    finishes: date
    free: date
    because: str
    early: date


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildForecast:
    """When a build is ready: the likely day, and days kept in 50, 80 and 90 of 100 cases.

    chance: that it is ready on the promised day. draws: the day of each case in order,
    counted from `on`, the day of the forecast. why: what it stands still for, in days. by_week:
    the cases differ too much to tell single days.
    """

    build: int
    on: date
    likely: date
    day_50: date
    day_80: date
    day_90: date
    by_week: bool
    chance: float | None
    why: Mapping[str, float]
    stages: tuple[StageForecast, ...]
    draws: tuple[int, ...] = ()
    note: str = ""

    def chance_of(self, day: date) -> float:
        """Return the chance that it is ready on a day."""
        return bisect_right(self.draws, (day - self.on).days) / len(self.draws)

    @property
    def says(self) -> str:
        """The day of 80 in 100, as a week where single days can't be told."""
        return said_day(self.day_80, self.by_week)

    @property
    def why_words(self) -> str:
        """The three things that it waits for longest, in words."""
        words = [
            f"{days:.0f} {'day' if round(days) == 1 else 'days'} for {what}"
            for what, days in list(self.why.items())[:3]
            if days >= FEW_DAYS
        ]
        return ", ".join(words)


def said_day(day: date, by_week: bool) -> str:
    """Write a day, or the week in which it lies."""
    if by_week:
        monday = day - timedelta(days=day.weekday())
        return f"week of {day_words(monday)}"
    return day_words(day)


@dataclass(frozen=True, slots=True, kw_only=True)
class QueueAnswer:
    """The queue as it stands: what it was worked out from, and what it says of each build."""

    books: QueueBooks
    forecasts: Mapping[str, BuildForecast]
    stamp: str

    def of(self, build: Build) -> BuildForecast | None:
        """Return the forecast of one build; None where nothing is left of it."""
        return self.forecasts.get(f"{build.pk}")

    @property
    def rows(self) -> list[tuple[Build, BuildForecast]]:
        """Every build in the order of the queue, with its forecast."""
        return [(build, self.forecasts[f"{build.pk}"]) for build in self.books.builds]


def queue_on(on: date) -> QueueAnswer:
    """Return what the queue says on a day; worked out anew only where the books changed.

    Raises Refusal for what can't be laid out.
    """
    books = queue_books(on)
    return QueueAnswer(books=books, forecasts=forecasts_of(books), stamp=stamp_of(books))


def forecasts_of(books: QueueBooks) -> Mapping[str, BuildForecast]:
    """Return build's key → its forecast, worked out once for the same books.

    Raises Refusal for what can't be laid out.
    """
    key = f"queue:{stamp_of(books)}"
    forecasts: Mapping[str, BuildForecast] | None = cache.get(key)
    if forecasts is None:
        forecasts = work_out(books)
        cache.set(key, forecasts, A_DAY)
    return forecasts


def stamp_of(books: QueueBooks) -> str:
    """Return the fingerprint of everything that a forecast is worked out from."""
    told = (ENGINE, books.on, books.jobs, books.guesses, books.shop.things, books.shared)
    hands = [hash(tuple(days)) for days in books.shop.hands]
    return sha256(repr((told, hands)).encode()).hexdigest()


def work_out(books: QueueBooks, draws: int = DRAWS) -> dict[str, BuildForecast]:
    """Return build's key → its forecast, from so many cases.

    Raises Refusal for what can't be laid out.
    """
    from shop.queue.calc.outlook import look_ahead

    try:
        found = look_ahead(books.jobs, books.guesses, books.shop, books.shared, draws)
    except QueueError as error:
        raise Refusal(_with_serials(f"{error}", books)) from error
    return dated(books, found)


def dated(books: QueueBooks, found: "Queue") -> dict[str, BuildForecast]:
    """Turn days counted from the day of the books into dates."""
    names = {(job.key, stage.key): stage.name for job in books.jobs for stage in job.stages}
    return {one.key: _build(books, one, names) for one in found.builds}


def as_rows(forecasts: Mapping[str, BuildForecast]) -> dict[str, Any]:
    """Return forecasts as they are kept, to be compared with later ones."""
    return {
        key: {
            "days": [one.day_50.isoformat(), one.day_80.isoformat(), one.day_90.isoformat()],
            "chance": one.chance,
            "why": dict(one.why),
            "stages": [stage.name for stage in one.stages],
        }
        for key, one in forecasts.items()
    }


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """How a forecast moved since the one before it. days: below 0 when it is earlier now."""

    since: date
    days: int
    why: str


def moved_since(build: Build, on: date, now: BuildForecast) -> Moved | None:
    """Return how the day of 80 in 100 moved since the last forecast before the day, and why."""
    before = QueueForecast.objects.filter(on__lt=on).first()
    row = before and before.builds.get(f"{build.pk}")
    if not before or not row:
        return None
    days = (now.day_80 - date.fromisoformat(row["days"][1])).days
    done = [name for name in row["stages"] if name not in {one.name for one in now.stages}]
    more = [one.name for one in now.stages if one.name not in row["stages"]]
    waits = {
        what: round(now.why.get(what, 0) - row["why"].get(what, 0))
        for what in {*now.why, *row["why"]}
    }
    most = max(waits, key=lambda what: abs(waits[what]), default="")
    words = [f"{name} is done" for name in done] + [f"{name} is to be done" for name in more]
    if most and abs(waits[most]) >= FEW_DAYS and waits[most] * days > 0:
        words.append(f"{abs(waits[most])} days {'more' if waits[most] > 0 else 'less'} for {most}")
    if not words and days > 0:
        words.append("nothing was done on it")
    return Moved(since=before.on, days=days, why="; ".join(words))


def _build(
    books: QueueBooks, one: "Outlook", names: Mapping[tuple[str, str], str]
) -> BuildForecast:
    from shop.queue.calc.outlook import tells_days

    def day(number: float) -> date:
        return books.on + timedelta(days=int(number))

    return BuildForecast(
        build=int(one.key) if one.key.isdecimal() else 0,
        on=books.on,
        draws=tuple(sorted(int(number) for number in one.draws)),
        likely=day(one.likely),
        day_50=day(one.days[50]),
        day_80=day(one.days[80]),
        day_90=day(one.days[90]),
        by_week=not tells_days(one),
        chance=one.chance,
        why=one.why,
        note=books.notes.get(one.key, ""),
        stages=tuple(
            StageForecast(
                stage=int(stage.key) if stage.key.isdecimal() else 0,
                name=names[one.key, stage.key],
                stretches=tuple(
                    (round(begins, 3), round(ends, 3)) for begins, ends in stage.stretches
                ),
                because=stage.because,
                starts=day(stage.starts),
                finishes=day(max(-(-stage.ends // 1) - 1, stage.starts // 1)),
                free=day(-(-stage.free // 1)),
                early=day(stage.early),
            )
            for stage in one.stages
        ),
    )


def _with_serials(sentence: str, books: QueueBooks) -> str:
    """Name builds by their serial numbers where the arithmetic knows keys only."""
    for build in books.builds:
        if sentence.startswith((f"{build.pk}:", f"{build.pk},")):
            return sentence.replace(f"{build.pk}", build.serial, 1)
    return sentence
