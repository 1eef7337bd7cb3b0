"""What the queue asks of one day: what is free to start, what waits, what ends, what to order."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING

from django.core.cache import cache
from django.utils import timezone

from shop.builds.queries.needs import named_shortages, needs_of
from shop.models import Build, BuildLine, BuildStage
from shop.queue.calc.records import Job
from shop.queue.queries.forecast import A_DAY, BuildForecast, QueueAnswer, StageForecast, work_out
from shop.queue.queries.trying import Trial

if TYPE_CHECKING:
    from inventory.models import Material

IN_DANGER = 0.5
"""A promise with less than this chance is in danger."""

HELP_BY = 0.1
MORE_HOURS = 2.0
MOST_HELPED = 3
AT_THE_BENCH = ("", "hands")
"""What a stage waits for that could begin if somebody were free."""

FEW_DRAWS = 100
LATE_LEAD = 1.32
"""A lead time's late tenth, as a multiple of it: 1 + 0.25 × 1.28 (common practice, no source)."""


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
    to_order: Sequence["DueOrder"]


@dataclass(frozen=True, slots=True, kw_only=True)
class DueOrder:
    """A material that a stage needs: by when it is needed, and by when to order it."""

    line: BuildLine
    material: "Material"
    needed_by: date
    order_by: date
    late: bool


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


def to_order(answer: QueueAnswer) -> list[DueOrder]:
    """Return what builds still lack, the soonest order first.

    Needed by the early tenth of its stage's start; ordered by that less the lead time's late tenth.
    """
    on = answer.books.on
    early = {
        stage.stage: stage.early for _, one in answer.rows for stage in one.stages if stage.stage
    }
    first = {build.pk: one.stages[0].early for build, one in answer.rows if one.stages}
    found = []
    for shortage in named_shortages(needs_of(answer.books.builds), on):
        line = shortage.line
        needed = early.get(line.stage_id or 0) or first.get(line.build_id)
        if needed is None or line.material is None or shortage.free >= shortage.missing:
            continue
        lead = round((line.material.lead_time or 0) * LATE_LEAD)
        order_by = needed - timedelta(days=lead)
        found.append(
            DueOrder(
                line=line,
                material=line.material,
                needed_by=needed,
                order_by=order_by,
                late=order_by < on,
            )
        )
    return sorted(found, key=lambda one: (one.order_by, one.line.pk))


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
