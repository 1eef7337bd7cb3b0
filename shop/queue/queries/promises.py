"""Promised days against what came of them."""

from dataclasses import dataclass
from datetime import date
from statistics import median_low
from typing import TYPE_CHECKING

from shop.models import Build, PromisedDay, QueueForecast

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
class ScoredMonth:
    """What the first forecast of a month said of builds that are finished now.

    kept_80: of `builds`, those ready on their safe day. median_error: days between the typical day
    and the day it was ready, either way.
    """

    on: date
    builds: int
    kept_80: int
    median_error: int


def scored_months() -> list[ScoredMonth]:
    """Score the first forecast that was kept in each of the last months, the latest first.

    Three queries. A month of which no build is finished yet is left out.
    """
    firsts = {(on.year, on.month): on for on in _kept_days()}
    days = sorted(firsts.values(), reverse=True)[:MOST_MONTHS]
    said = dict(QueueForecast.objects.filter(on__in=days).values_list("on", "builds"))
    keys = {int(key) for builds in said.values() for key in builds}
    builds = Build.objects.filter(pk__in=keys).only("pk", "finished_on")
    finished = {build.pk: build.finished_on for build in builds if build.finished_on}
    months = (_month(on, said[on], finished) for on in days)
    return [month for month in months if month]


def _kept_days() -> list[date]:
    days = QueueForecast.objects.values_list("on", flat=True)
    return list(days[: MOST_MONTHS * 31])


def _month(
    on: date, said: "Mapping[str, Mapping[str, Any]]", finished: "Mapping[int, date]"
) -> ScoredMonth | None:
    rows = [
        (finished[int(key)], [date.fromisoformat(day) for day in row["days"]])
        for key, row in said.items()
        if int(key) in finished
    ]
    if not rows:
        return None
    return ScoredMonth(
        on=on,
        builds=len(rows),
        kept_80=sum(ready <= days[1] for ready, days in rows),
        median_error=median_low(abs((ready - days[0]).days) for ready, days in rows),
    )


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
