"""What the queue asks of one day: what can start, what waits, what ends, what is in danger."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.core.cache import cache
from django.utils import timezone

from shop.models import Build, BuildStage
from shop.queue.calc.records import Job
from shop.queue.queries.buying import DueOrder, to_order
from shop.queue.queries.forecast import A_DAY, BuildForecast, QueueAnswer, StageForecast, work_out
from shop.queue.queries.trying import Trial

IN_DANGER = 0.5
"""A promise with less than this chance is in danger."""

HELP_BY = 0.1
MORE_HOURS = 2.0
MOST_HELPED = 3
AT_THE_BENCH = ("", "hands")
"""What a stage waits for that could begin if somebody were free."""

FEW_DRAWS = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class DueStage:
    """A stage of a build on the day's list. until: the day on which it can begin; for what."""

    build: Build
    stage: StageForecast
    until: date | None = None
    waits_for: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Danger:
    """A promised day that is likely to be missed, and the smallest thing that would help."""

    build: Build
    forecast: BuildForecast
    helps: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DayList:
    """What stands on the day's list. to_order: what has to be ordered by the day, late ones too."""

    on: date
    free: Sequence[DueStage]
    waiting: Sequence[DueStage]
    ending: Sequence[DueStage]
    in_danger: Sequence[Danger]
    to_order: Sequence[DueOrder]


def day_list(answer: QueueAnswer) -> DayList:
    """Return the list of the day of `answer`, and what would help the promised days in danger."""
    on = answer.books.on
    firsts = [
        _first_stage(build, one.stages[0], job, on)
        for (build, one), job in zip(answer.rows, answer.books.jobs, strict=True)
        if one.stages
    ]
    waiting = [one for one in firsts if one.until]
    return DayList(
        on=on,
        free=[one for one in firsts if not one.until],
        waiting=sorted(waiting, key=lambda one: one.until or on),
        ending=[
            DueStage(build=one.build, stage=one.stage, until=on)
            for one in firsts
            if _held_until(one.build) == on
        ],
        in_danger=_dangers(answer),
        to_order=[one for one in to_order(answer) if one.order_by <= on],
    )


def _first_stage(build: Build, stage: StageForecast, job: Job, on: date) -> DueStage:
    """Say of the next stage of a build until when it can't begin, however many hands are free."""
    held = on + timedelta(days=job.stages[0].not_before)
    if held > on:
        return DueStage(build=build, stage=stage, until=held, waits_for=job.stages[0].blocked_by)
    if stage.starts <= on or stage.because in AT_THE_BENCH:
        return DueStage(build=build, stage=stage)
    return DueStage(build=build, stage=stage, until=stage.starts, waits_for=stage.because)


def _held_until(build: Build) -> date | None:
    """Return the day on which the waiting after the last finished stage is over."""
    done: list[BuildStage] = [one for one in build.stages.all() if one.finished_at]
    days = [
        timezone.localtime(one.finished_at).date() + timedelta(days=-int(-one.waiting_days // 1))
        for one in done
        if one.finished_at and one.waiting_days
    ]
    return max(days, default=None)


def _dangers(answer: QueueAnswer) -> list[Danger]:
    found = [
        (build, one)
        for build, one in answer.rows
        if one.chance is not None and one.chance < IN_DANGER
    ]
    helps = cache.get(f"helps:{answer.stamp}")
    if helps is None:
        helps = [_what_helps(answer, build, one) for build, one in found[:MOST_HELPED]]
        cache.set(f"helps:{answer.stamp}", helps, A_DAY)
    helps = [*helps, *([""] * (len(found) - len(helps)))]
    return [
        Danger(build=build, forecast=one, helps=words)
        for (build, one), words in zip(found, helps, strict=True)
    ]


def _what_helps(answer: QueueAnswer, build: Build, now: BuildForecast) -> str:
    """Return the first of a few small changes that brings the promise out of danger, or helps."""
    key = f"{build.pk}"
    trials = [
        (f"{MORE_HOURS:.0f} hours more a week", Trial(hours_a_week=MORE_HOURS)),
        *(
            (f"one more of “{thing}”", Trial(thing=thing, more=1))
            for thing in now.why
            if thing in answer.books.shop.things
        ),
        ("this build first", Trial(move=key, place=1)),
    ]
    best, most = "", (now.chance or 0) + HELP_BY
    for words, trial in trials:
        books = trial.of(answer.books)
        after = work_out(books, FEW_DRAWS)[key].chance or 0
        if after > most:
            best, most = f"{words} ({after:.0%})".replace("%)", " %)"), after
        if after >= IN_DANGER:
            break
    return best or "only another day: tell the client early"
