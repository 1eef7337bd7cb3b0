"""Promised days against what came of them."""

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from shop.models import PromisedDay

if TYPE_CHECKING:
    from collections.abc import Sequence


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
