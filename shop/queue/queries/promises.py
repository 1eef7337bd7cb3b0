"""Promised days against what came of them."""

from dataclasses import dataclass
from datetime import date
from statistics import median_low
from typing import TYPE_CHECKING

from shop.models import Build, BuildState, PromisedDay, QueueForecast

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from typing import Any


@dataclass(frozen=True, slots=True, kw_only=True)
class ScoredPromise:
    """A promised day, and how the build turned out. days_late: below 0 when it was early."""

    promise: PromisedDay
    finished_on: date | None
    days_late: int | None
    forecast_error: int | None

    @property
    def kept(self) -> bool | None:
        return None if self.days_late is None else self.days_late <= 0


@dataclass(frozen=True, slots=True, kw_only=True)
class TrackRecord:
    """How often promises were kept, and how often the day of 80 in 100 was."""

    rows: "Sequence[ScoredPromise]"
    done: int
    kept: int
    forecasts: int
    kept_80: int
    median_error: int | None


def track_record() -> TrackRecord:
    """Score every promised day of a finished build, the latest first. One query."""
    rows = [_scored(one) for one in PromisedDay.objects.select_related("build").order_by("-pk")]
    done = [one for one in rows if one.days_late is not None]
    said = [one for one in done if one.promise.forecast_80 and one.finished_on]
    errors = sorted(abs(one.forecast_error) for one in done if one.forecast_error is not None)
    return TrackRecord(
        rows=rows,
        done=len(done),
        kept=sum(bool(one.kept) for one in done),
        forecasts=len(said),
        kept_80=sum(
            one.finished_on <= one.promise.forecast_80
            for one in said
            if one.finished_on and one.promise.forecast_80
        ),
        median_error=errors[len(errors) // 2] if errors else None,
    )


MOST_MONTHS = 24


@dataclass(frozen=True, slots=True, kw_only=True)
class ScoredBuild:
    """The typical and the safe day said of a build, and the day it was ready; None: still open."""

    build: Build
    typical: date
    safe: date
    ready: date | None

    @property
    def kept(self) -> bool:
        return self.ready is not None and self.ready <= self.safe


@dataclass(frozen=True, slots=True, kw_only=True)
class ScoredMonth:
    """What the first forecast of a month said of builds whose safe day is past."""

    on: date
    rows: "Sequence[ScoredBuild]"

    @property
    def kept(self) -> list[ScoredBuild]:
        """Those ready on their safe day."""
        return [row for row in self.rows if row.kept]

    @property
    def still_open(self) -> list[ScoredBuild]:
        """Those not ready yet: their safe day is not kept, how far it is off is not known."""
        return [row for row in self.rows if row.ready is None]

    @property
    def ready(self) -> list[ScoredBuild]:
        return [row for row in self.rows if row.ready is not None]

    @property
    def median_error(self) -> int | None:
        """Days between the typical day and the day it was ready, either way; None: none is."""
        errors = [abs((row.ready - row.typical).days) for row in self.rows if row.ready]
        return median_low(errors) if errors else None


def scored_months(on: date) -> list[ScoredMonth]:
    """Score, as of the day `on`, the first forecast kept in each of the last months, latest first.

    A build counts once its safe day is past, ready or not: were only those counted that are ready,
    the last months would show none of the late ones. Cancelled ones don't count; a month without
    any is left out. Three queries.
    """
    firsts = {(day.year, day.month): day for day in _kept_days()}
    days = sorted(firsts.values(), reverse=True)[:MOST_MONTHS]
    said = dict(QueueForecast.objects.filter(on__in=days).values_list("on", "builds"))
    keys = {int(key) for builds in said.values() for key in builds}
    rows = Build.objects.filter(pk__in=keys).exclude(state=BuildState.CANCELLED)
    builds = {build.pk: build for build in rows.only("pk", "serial", "title", "finished_on")}
    months = (ScoredMonth(on=day, rows=_scored_builds(said[day], builds, on)) for day in days)
    return [month for month in months if month.rows]


def _kept_days() -> list[date]:
    days = QueueForecast.objects.values_list("on", flat=True)
    return list(days[: MOST_MONTHS * 31])


def _scored_builds(
    said: "Mapping[str, Mapping[str, Any]]", builds: "Mapping[int, Build]", on: date
) -> list[ScoredBuild]:
    rows = []
    for key, row in said.items():
        typical, safe = (date.fromisoformat(day) for day in row["days"][:2])
        build = builds.get(int(key))
        if build and safe < on:
            rows.append(
                ScoredBuild(build=build, typical=typical, safe=safe, ready=build.finished_on)
            )
    return rows


def _scored(promise: PromisedDay) -> ScoredPromise:
    finished = promise.build.finished_on
    return ScoredPromise(
        promise=promise,
        finished_on=finished,
        days_late=(finished - promise.day).days if finished else None,
        forecast_error=(
            (finished - promise.forecast_50).days if finished and promise.forecast_50 else None
        ),
    )
