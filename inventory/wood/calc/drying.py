"""When wood will be ready: an exponential approach fitted to its weighings, with a range."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from typing import TYPE_CHECKING

from inventory.wood.calc.seasoning import DEFAULT_RULE, MassReading, ReadyRule, ready_verdict

if TYPE_CHECKING:
    import numpy as np

LEAST_READINGS = 4
"""Three values are fitted (start, end, pace); a fourth reading is the first check on them."""

CONFIDENCE = 0.8
"""The range holds the day eight times in ten, if the wood dries as the curve has it."""

SLOWEST_DAYS = 2000.0
TIME_CONSTANTS = 160
FARTHEST_DAYS = 3650


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """The day on which the ready rule will be met, or none with the reason in `words`.

    All are days on which a weighing would fall. `earliest` and `latest` bound `on`; `latest` is
    None when the weighings can't bound it. `final_grams` is the mass that the piece tends to.
    """

    words: str
    on: date | None = None
    earliest: date | None = None
    latest: date | None = None
    final_grams: Decimal | None = None


@dataclass(frozen=True, slots=True)
class _Fit:
    """A curve final + gap x exp(-t / pace), t in days from the first weighing."""

    pace: float
    final: float
    gap: float
    misfit: float


def forecast_ready(
    weighings: Sequence[MassReading],
    *,
    rule: ReadyRule = DEFAULT_RULE,
    days_between: int = 7,
    scale_step: Decimal = Decimal("0.1"),
) -> Forecast:
    """Forecast the day on which weighings every `days_between` days will meet `rule`.

    Fits m(t) = final + gap exp(-t / pace) by least squares, and takes the range from the paces
    that fit no worse than an F test allows. `scale_step` is what the scale can tell apart, in g:
    no fit is trusted beyond it. Wood dries so only in steady air; the forecast assumes that.
    """
    rows = sorted(weighings, key=lambda one: one.on)
    if rows and ready_verdict(rows, rule).ready:
        day = rows[-1].on
        return Forecast(words="It is ready now.", on=day, earliest=day, latest=day)
    if len({row.on for row in rows}) < LEAST_READINGS:
        return Forecast(
            words=f"Too few weighings to forecast from: {len(rows)}, at least {LEAST_READINGS} "
            "on different days are needed."
        )
    days, masses = _as_arrays(rows)
    step = float(scale_step)
    if masses.max() - masses.min() <= step:
        return Forecast(words="The mass has not moved by more than the scale can tell.")
    candidates = _fits(days, masses)
    best = min(candidates, key=lambda fit: fit.misfit)
    fair = _no_worse(candidates, best, len(rows), step)
    return _as_forecast(rows, (best, fair), rule, days_between)


def _as_arrays(rows: Sequence[MassReading]) -> "tuple[np.ndarray, np.ndarray]":
    import numpy as np

    days = np.array([(row.on - rows[0].on).days for row in rows], dtype=float)
    return days, np.array([float(row.grams) for row in rows])


def _fits(days: "np.ndarray", masses: "np.ndarray") -> list[_Fit]:
    """Return the best curve for each of many paces, and for the best pace of all."""
    import numpy as np
    from scipy.optimize import minimize_scalar

    shortest = max(float(np.diff(np.unique(days)).min()) / 3, 0.1)
    paces = np.geomspace(shortest, SLOWEST_DAYS, TIME_CONSTANTS)
    fits = [_fit_with_pace(float(pace), days, masses) for pace in paces]
    start = min(range(len(fits)), key=lambda index: fits[index].misfit)
    low, high = paces[max(start - 1, 0)], paces[min(start + 1, len(fits) - 1)]
    found = minimize_scalar(
        lambda log_pace: _fit_with_pace(math.exp(log_pace), days, masses).misfit,
        bounds=(math.log(low), math.log(high)),
        method="bounded",
    )
    return [*fits, _fit_with_pace(math.exp(found.x), days, masses)]


def _fit_with_pace(pace: float, days: "np.ndarray", masses: "np.ndarray") -> _Fit:
    import numpy as np

    columns = np.column_stack([np.ones_like(days), np.exp(-days / pace)])
    (final, gap), *_ = np.linalg.lstsq(columns, masses, rcond=None)
    misfit = float(((columns @ np.array([final, gap]) - masses) ** 2).sum())
    return _Fit(pace, float(final), float(gap), misfit)


def _no_worse(fits: list[_Fit], best: _Fit, readings: int, step: float) -> list[_Fit]:
    from scipy.stats import f

    freedom = readings - 3
    noise = max(best.misfit / freedom, step**2 / 12)
    limit = best.misfit + noise * float(f.ppf(CONFIDENCE, 1, freedom))
    return [fit for fit in fits if fit.misfit <= limit]


def _days_until_ready(fit: _Fit, rule: ReadyRule, days_between: int) -> float:
    """Return days from the first weighing to the one that meets the rule; infinite if none."""
    if fit.final <= 0:
        return math.inf
    window = (rule.weighings - 1) * days_between
    settled = 1 - math.exp(-window / fit.pace)
    within = float(rule.within)
    # The rule asks for |gap| e^(-t/pace) settled <= within (final + gap e^(-t/pace)); with equality
    # it gives t, the day of the first of the weighings that are compared.
    steep = abs(fit.gap) * settled - within * fit.gap
    if steep <= 0:
        return float(window)
    return window + max(fit.pace * math.log(steep / (within * fit.final)), 0.0)


def _as_forecast(
    rows: Sequence[MassReading], fits: tuple[_Fit, list[_Fit]], rule: ReadyRule, days_between: int
) -> Forecast:
    best, fair = fits
    wait = _days_until_ready(best, rule, days_between)
    if wait > FARTHEST_DAYS:
        return Forecast(words="The weighings do not bend yet: they tend to no mass to forecast.")
    waits = [wait, *(_days_until_ready(fit, rule, days_between) for fit in fair)]
    first, last = rows[0].on, rows[-1].on
    on, earliest = (_weighing_day(first, last, days, days_between) for days in (wait, min(waits)))
    latest = (
        None if max(waits) > FARTHEST_DAYS else _weighing_day(first, last, max(waits), days_between)
    )
    return Forecast(
        words=f"Ready about {_written(on)}, {_range_words(earliest, latest)}.",
        on=on,
        earliest=earliest,
        latest=latest,
        final_grams=round(Decimal(best.final), 1),
    )


def _weighing_day(first: date, last: date, days: float, days_between: int) -> date:
    """Return the first day after `last` on which a weighing falls that is `days` after `first`."""
    ahead = days - (last - first).days
    return last + timedelta(days=days_between * max(math.ceil(ahead / days_between - 1e-9), 1))


def _range_words(earliest: date, latest: date | None) -> str:
    if latest is None:
        return f"not before {_written(earliest)}; how late, the weighings do not tell yet"
    if earliest == latest:
        return "by all that the weighings tell"
    return f"eight times in ten between {_written(earliest)} and {_written(latest)}"


def _written(day: date) -> str:
    return f"{day.day} {day:%B %Y}"
