"""Builds: what stands where, and how far each has come."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from shop.builds.queries.needs import BuildNeed, needs_of
from shop.hours.queries.hours import minutes_by_build
from shop.models import Build, BuildStage


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildRow:
    """One build of a list: its stages, its minutes, and the lines whose material the shop keeps."""

    build: Build
    stages_done: int
    stages: int
    at: BuildStage | None
    planned_minutes: Decimal
    minutes: Decimal
    lines: int
    lines_short: int


def next_serial(made_on: date) -> str:
    """Return the next free serial number of the year, such as `2027-03`."""
    prefix = f"{made_on.year}-"
    taken = Build.objects.filter(serial__startswith=prefix).values_list("serial", flat=True)
    numbers = [int(tail) for serial in taken if (tail := serial[len(prefix) :]).isdigit()]
    return f"{prefix}{max(numbers, default=0) + 1:02}"


def build_rows(builds: Sequence[Build]) -> list[BuildRow]:
    """Return the figures of `builds` in their order, in six queries whatever their number."""
    minutes = minutes_by_build(builds)
    stages = _by_build(BuildStage.objects.filter(build__in=[build.pk for build in builds]))
    needs: dict[int, list[BuildNeed]] = defaultdict(list)
    for need in needs_of(build for build in builds if build.is_open):
        needs[need.line.build_id].append(need)
    return [
        _row(build, stages[build.pk], needs[build.pk], minutes.get(build.pk, Decimal(0)))
        for build in builds
    ]


def _row(
    build: Build, stages: Sequence[BuildStage], needs: Sequence[BuildNeed], minutes: Decimal
) -> BuildRow:
    unfinished = [stage for stage in stages if not stage.finished_at]
    started = [stage for stage in unfinished if stage.started_at]
    named = [need for need in needs if need.line.material]
    return BuildRow(
        build=build,
        stages_done=len(stages) - len(unfinished),
        stages=len(stages),
        at=next(iter(started or unfinished), None) if build.is_open else None,
        planned_minutes=sum((stage.hours_planned for stage in stages), Decimal(0)) * 60,
        minutes=minutes,
        lines=len(named),
        lines_short=sum(need.short > 0 for need in named),
    )


def _by_build(stages: Iterable[BuildStage]) -> dict[int, list[BuildStage]]:
    found: dict[int, list[BuildStage]] = defaultdict(list)
    for stage in stages:
        found[stage.build_id].append(stage)
    return found


def build_names(holders: Iterable[str]) -> dict[str, str]:
    """Return the names of builds by the keys under which the stock knows them."""
    keys = [int(key[6:]) for key in holders if key.startswith("build:") and key[6:].isdecimal()]
    return {build.holder: str(build) for build in Build.objects.filter(pk__in=keys)} if keys else {}
