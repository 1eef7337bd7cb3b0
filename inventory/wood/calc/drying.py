"""When wood will be ready: coming weighings drawn from what the past ones tell, with a range."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from itertools import pairwise
from statistics import median
from typing import TYPE_CHECKING

from inventory.wood.calc.seasoning import (
    DEFAULT_RULE,
    DEFAULT_WOOD,
    SCALE_STEP,
    MassReading,
    ReadyRule,
    Wood,
    counted_weighings,
    curves_of,
    daily,
    ready_verdict,
)

if TYPE_CHECKING:
    import numpy as np

    from inventory.wood.calc.drying_curve import DrawnCurves

LEAST_READINGS = 4
"""First mass, last mass and pace are three; a fourth weighing is the first check on them."""

RANGE = (0.1, 0.5, 0.9)
"""The range holds the day eight times in ten, on boards whose drying was simulated."""

CURVES, SEED = 400, 1
FARTHEST_DAYS = 3650
STEPS_AT_ONCE = 64
KNOWN_FEW, KNOWN_MANY, ENOUGH_WEIGHINGS, KNOWN_SPREAD = 0.4, 0.95, 30, 0.15
"""The verdict wants to be sure: with few weighings wood has to be much nearer to rest than the
tolerance before they show it, with so many hardly. Part of the tolerance at either end, and how it
varies (sd of its log), as measured on simulated boards."""


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


def forecast_ready(
    weighings: Sequence[MassReading],
    *,
    rule: ReadyRule = DEFAULT_RULE,
    wood: Wood = DEFAULT_WOOD,
    days_between: int | None = None,
    scale_step: Decimal = SCALE_STEP,
) -> Forecast:
    """Forecast the day on which weighings every `days_between` days will meet `rule`.

    Without `days_between` they go on as they came. Curves are drawn from all that fit the
    weighings, and weighed on in the computer, with the scatter that goes with each.
    """
    rows = daily(weighings)
    if rows and ready_verdict(rows, rule, wood).ready:
        day = rows[-1].on
        return Forecast(words="Ready now.", on=day, earliest=day, latest=day)
    if len(rows) < LEAST_READINGS:
        return Forecast(
            words=f"Too few weighings for a forecast: {len(rows)}. At least {LEAST_READINGS} on "
            "different days are needed."
        )
    masses = [row.grams for row in rows]
    if max(masses) - min(masses) <= scale_step:
        return Forecast(words="The mass has not changed by more than the scale can show.")
    every = days_between or usual_gap(rows, rule)
    drawn = curves_of(rows, wood, scale_step).drawn(CURVES, SEED)
    waits = _waits(rows, drawn, rule, wood, every)
    return _as_forecast(rows, waits, drawn)


def usual_gap(rows: Sequence[MassReading], rule: ReadyRule) -> int:
    """Return the days that usually lie between weighings that count."""
    days = [row.on.toordinal() for row in counted_weighings(rows, rule)]
    gaps = [after - before for before, after in pairwise(days)]
    return max(round(median(gaps)), 1) if gaps else max(rule.days_apart, 1)


def _waits(
    rows: Sequence[MassReading], drawn: "DrawnCurves", rule: ReadyRule, wood: Wood, every: int
) -> "np.ndarray":
    """Return for each curve the days from the last weighing to the one that meets the rule."""
    import numpy as np

    random = np.random.default_rng(SEED)
    counted = counted_weighings(rows, rule)[-(rule.weighings - 1) :]
    began = (rows[-1].on - rows[0].on).days
    before = np.tile([float(one.grams) for one in counted], (CURVES, 1)) / drawn.unit
    near = float(rule.near) * np.exp(KNOWN_SPREAD * random.standard_normal((CURVES, 1)))
    waits = np.full(CURVES, np.inf)
    for start in range(1, FARTHEST_DAYS // every + 2, STEPS_AT_ONCE):
        ahead = every * np.arange(start, start + STEPS_AT_ONCE)
        days = (began + ahead).astype(float)
        scatter = drawn.scatter[:, None] * random.standard_normal((CURVES, len(days)))
        masses = np.concatenate([before, drawn.masses(days) * (1 + scatter)], axis=1)
        met = _slow(masses, rule, wood)[:, -len(days) :]
        weighed = len(rows) + np.arange(start, start + STEPS_AT_ONCE)
        known = np.clip(weighed / ENOUGH_WEIGHINGS, KNOWN_FEW, KNOWN_MANY)
        met &= np.abs(drawn.points_left(days)) <= near * known
        first = np.where(met.any(axis=1), ahead[met.argmax(axis=1)], np.inf)
        waits = np.minimum(waits, first)
        if np.isfinite(waits).all():
            break
        before = masses[:, -(rule.weighings - 1) :]
    return np.where(waits > FARTHEST_DAYS, np.inf, waits)


def _slow(masses: "np.ndarray", rule: ReadyRule, wood: Wood) -> "np.ndarray":
    """Say of each mass whether it and those before it lie within the tolerance of the first."""
    import numpy as np

    within = float(rule.within_for(wood.thickness_mm))
    slow = np.zeros(masses.shape, dtype=bool)
    if masses.shape[1] < rule.weighings:
        return slow
    windows = np.lib.stride_tricks.sliding_window_view(masses, rule.weighings, axis=1)
    first = windows[..., :1]
    slow[:, rule.weighings - 1 :] = (np.abs(windows / first - 1) <= within).all(axis=-1)
    return slow


def _as_forecast(
    rows: Sequence[MassReading], waits: "np.ndarray", drawn: "DrawnCurves"
) -> Forecast:
    import numpy as np

    early, middle, late = np.quantile(waits, RANGE, method="inverted_cdf")
    if not np.isfinite(middle):
        return Forecast(
            words="The weighings don't level off yet, so no final mass can be forecast."
        )
    on, earliest = (_day(rows, wait) for wait in (middle, early))
    latest = _day(rows, late) if np.isfinite(late) else None
    return Forecast(
        words=f"Ready about {_written(on)}, {_range_words(earliest, latest)}, from "
        f"{len(rows)} weighings.",
        on=on,
        earliest=earliest,
        latest=latest,
        final_grams=round(Decimal(float(np.median(drawn.final)) * drawn.unit), 1),
    )


def _day(rows: Sequence[MassReading], wait: float) -> date:
    return rows[-1].on + timedelta(days=math.ceil(wait))


def _range_words(earliest: date, latest: date | None) -> str:
    if latest is None:
        return f"not before {_written(earliest)}; the latest date is not known yet"
    if earliest == latest:
        return "hardly another day"
    return f"80 % likely between {_written(earliest)} and {_written(latest)}"


def _written(day: date) -> str:
    return f"{day.day} {day:%B %Y}"
