"""What if: the queue before and after a change that nobody has made yet."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import TYPE_CHECKING

from inventory.base.refusals import Refusal
from shop.models import Build, BuildStage, BuildTemplate
from shop.queue.calc.records import QueueError, Shop
from shop.queue.queries.books import QueueBooks, read_build
from shop.queue.queries.forecast import BuildForecast, forecasts_of

if TYPE_CHECKING:
    from shop.queue.calc.search import Found

NEW = "new"
ROUNDS = 12
"""Rounds of search: a few seconds for twenty builds."""

MOST_MOVED = 24
"""So many builds at the head of the queue are put in order; those behind keep their places."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TriedBuild:
    """One build before and after; either is None where it is not in that queue."""

    key: str
    build: Build | None
    before: BuildForecast | None
    after: BuildForecast | None

    @property
    def days(self) -> int:
        """By how many days the day of 80 in 100 is later."""
        if not self.before or not self.after:
            return 0
        return (self.after.day_80 - self.before.day_80).days

    @property
    def gained(self) -> float | None:
        """What the chance of the promised day gained, from -1 to 1."""
        if not self.before or not self.after or self.before.chance is None:
            return None
        return (self.after.chance or 0) - self.before.chance


@dataclass(frozen=True, slots=True, kw_only=True)
class Comparison:
    """Every build before and after, in the new order."""

    rows: Sequence[TriedBuild]

    @property
    def later(self) -> int:
        """Days that builds are later, added up."""
        return sum(max(row.days, 0) for row in self.rows)


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """What to try: a build moved or dropped, days off, more things, more hours a week at builds.

    hours_until: the last day of those hours; None: from now on.
    """

    move: str = ""
    place: int = 1
    drop: str = ""
    days_off: tuple[date, date] | None = None
    thing: str = ""
    more: int = 0
    hours_a_week: float = 0.0
    hours_until: date | None = None
    order: Sequence[str] = field(default_factory=tuple)

    def of(self, books: QueueBooks) -> QueueBooks:
        """Return the books as they would be."""
        keys = list(self.order) or [job.key for job in books.jobs]
        if self.move in keys:
            keys.remove(self.move)
            keys.insert(max(self.place, 1) - 1, self.move)
        if self.drop in keys:
            keys.remove(self.drop)
        return replace(books.in_order(keys), shop=self._shop(books))

    def _shop(self, books: QueueBooks) -> Shop:
        hands = [list(days) for days in books.shop.hands]
        if self.days_off:
            first, last = ((day - books.on).days for day in self.days_off)
            for days in hands:
                for number in range(max(first, 0), min(last + 1, len(days))):
                    days[number] = 0
        if self.hours_a_week:
            worked = sum(1 for minutes in hands[0][:7] if minutes) or 1
            # Meant for builds: the share that messages and repairs take is not taken of them.
            each = self.hours_a_week * 60 / worked / books.shared.share
            last = (self.hours_until - books.on).days if self.hours_until else len(hands[0])
            hands[0] = [
                max(minutes + each, 0) if minutes and day <= last else minutes
                for day, minutes in enumerate(hands[0])
            ]
        things = dict(books.shop.things)
        if self.thing in things:
            things[self.thing] = max(things[self.thing] + self.more, 0)
        return Shop(hands=hands, things=things)


def compare(before: QueueBooks, after: QueueBooks) -> Comparison:
    """Lay out both queues under the same luck. Raises Refusal for what can't be laid out."""
    then, now = forecasts_of(before), forecasts_of(after)
    builds = {f"{build.pk}": build for build in before.builds}
    keys = [job.key for job in after.jobs]
    keys += [job.key for job in before.jobs if job.key not in set(keys)]
    return Comparison(
        rows=[
            TriedBuild(key=key, build=builds.get(key), before=then.get(key), after=now.get(key))
            for key in keys
        ]
    )


def with_new_build(
    books: QueueBooks,
    template: BuildTemplate | None,
    *,
    title: str,
    place: int | None = None,
    stages: Sequence[BuildStage] | None = None,
    options: Sequence[str] = (),
) -> QueueBooks:
    """Return the books with one more build, at the end or on a place; nothing is saved.

    stages: its own hours, else those of the template. Its key is `NEW`.
    """
    build = Build(title=title, template=template, made_on=books.on, options=list(options))
    if stages is None:
        stages = [
            BuildStage(
                template_stage=one,
                position=one.position,
                name=one.name,
                hours_low=one.hours_low,
                hours_planned=one.hours_likely,
                hours_high=one.hours_high,
                waiting_days=one.waiting_days,
            )
            for one in (template.stages.all() if template else ())
        ]
    job, guess = read_build(build, stages, books.on)
    job, guess = replace(job, key=NEW), replace(guess, key=NEW)
    at = len(books.jobs) if place is None else max(place, 1) - 1
    jobs, guesses = list(books.jobs), list(books.guesses)
    jobs.insert(at, job)
    guesses.insert(at, guess)
    return replace(books, jobs=tuple(jobs), guesses=tuple(guesses))


@dataclass(frozen=True, slots=True, kw_only=True)
class BetterOrder:
    """An order of the first builds with less lateness, and what every build gains or loses by it.

    behind: how many builds behind them keep their places.
    """

    order: Sequence[str]
    comparison: Comparison
    behind: int = 0


def suggestion(books: QueueBooks) -> BetterOrder | None:
    """Search for a better order of the first builds; None when none was found.

    Takes up to a few seconds: the search leaves builds behind `MOST_MOVED` out, the comparison
    shows how they move. Raises Refusal for what can't be laid out.
    """
    from shop.queue.calc.outlook import suggest_order

    if len(books.jobs) < 2:
        return None
    whole = [job.key for job in books.jobs]
    head, rest = whole[:MOST_MOVED], whole[MOST_MOVED:]
    jobs = books.in_order(head).jobs
    try:
        found: Found = suggest_order(jobs, books.shop, books.shared, rounds=ROUNDS)
    except QueueError as error:
        raise Refusal(f"{error}") from error
    keys = [head[place] for place in found.order]
    if keys == head:
        return None
    after = books.in_order([*keys, *rest])
    return BetterOrder(order=keys, comparison=compare(books, after), behind=len(rest))
