"""What needs a hand today."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from decimal import Decimal
from itertools import groupby, pairwise

from django.db.models import Prefetch
from django.utils import timezone

from inventory.models import StockEntry
from shop.builds.queries.needs import Shortage, named_shortages, needs_of
from shop.hours.queries.clock import running_entries, unsure_entries
from shop.models import OPEN_STATES, Build, BuildStage, TimeEntry

MOST_UNSURE = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchStage:
    """A stage of an open build that is under way, or that can be taken up on `ready_on`.

    `beside` are the stages of that name of its whole batch, its own among them, if it has one.
    """

    build: Build
    stage: BuildStage
    ready_on: date | None = None

    beside: tuple[BuildStage, ...] = ()

    @property
    def is_started(self) -> bool:
        return self.stage.started_at is not None

    @property
    def planned_minutes(self) -> Decimal:
        return self.stage.hours_planned * 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Today:
    """Everything on the page of the day; lists are empty where nothing needs a hand."""

    running: list[TimeEntry]
    unsure: list[TimeEntry]
    to_reconcile: int
    overdue: list[Build]
    short_builds: list[tuple[Build, list[Shortage]]]
    on_the_bench: list[BenchStage]
    waiting: list[BenchStage]


def today(now: datetime) -> Today:
    """Return what stands open at `now`, in a number of queries that does not grow."""
    day = timezone.localtime(now).date()
    builds = open_builds()
    on_the_bench, waiting = _next_stages(builds, day)
    return Today(
        running=list(running_entries()),
        unsure=list(unsure_entries()[:MOST_UNSURE]),
        to_reconcile=entries_to_reconcile(),
        overdue=[build for build in builds if build.promised_on and build.promised_on < day],
        short_builds=_short_builds(builds, day),
        on_the_bench=on_the_bench,
        waiting=waiting,
    )


def open_builds() -> list[Build]:
    """Return the builds that are planned or under way with their stages, the first due first."""
    stages = BuildStage.objects.order_by("position", "pk")
    rows = Build.objects.filter(state__in=OPEN_STATES).prefetch_related(Prefetch("stages", stages))
    return sorted(rows, key=lambda build: (build.promised_on or date.max, build.pk))


def entries_to_reconcile() -> int:
    """Return how many entries lacked books or broke a promise, and nobody has counted since."""
    return StockEntry.objects.filter(to_reconcile=True, reconciled_at=None).count()


def _short_builds(builds: Iterable[Build], on: date) -> list[tuple[Build, list[Shortage]]]:
    short = named_shortages(needs_of(builds), on)
    return [
        (build, list(shortages))
        for build, shortages in groupby(short, key=lambda shortage: shortage.line.build)
    ]


def _next_stages(builds: Iterable[Build], day: date) -> tuple[list[BenchStage], list[BenchStage]]:
    """Return the stages that can be worked on today and those that glue or finish holds up."""
    bench: list[BenchStage] = []
    waiting: list[BenchStage] = []
    batches = _stages_of_batches(builds)
    for build in builds:
        for found in _open_stages(build):
            beside = batches.get((build.batch_id, found.stage.name), [])
            one = replace(found, beside=tuple(beside) if len(beside) > 1 else ())
            held = one.ready_on is not None and one.ready_on > day and not one.is_started
            (waiting if held else bench).append(one)
    return bench, sorted(waiting, key=lambda one: one.ready_on or day)


def _stages_of_batches(builds: Iterable[Build]) -> dict[tuple[int | None, str], list[BuildStage]]:
    """Return the unfinished stages of each batch by their names."""
    found: dict[tuple[int | None, str], list[BuildStage]] = defaultdict(list)
    for build in builds:
        for stage in build.stages.all():
            if build.batch_id and not stage.finished_at:
                found[build.batch_id, stage.name].append(stage)
    return found


def _open_stages(build: Build) -> list[BenchStage]:
    """Return the started stages of `build`, or else its first stage that is not finished."""
    stages = list(build.stages.all())
    started = [stage for stage in stages if stage.started_at and not stage.finished_at]
    if started:
        return [BenchStage(build=build, stage=stage) for stage in started]
    before = [None, *stages]
    for last, stage in pairwise(before):
        if stage is not None and not stage.finished_at:
            return [BenchStage(build=build, stage=stage, ready_on=_free_on(last))]
    return []


def _free_on(stage: BuildStage | None) -> date | None:
    """Return the day on which the waiting after `stage` is over."""
    if stage is None or stage.finished_at is None:
        return None
    whole_days = -int(-stage.waiting_days // 1)
    return timezone.localtime(stage.finished_at).date() + timedelta(days=whole_days)
