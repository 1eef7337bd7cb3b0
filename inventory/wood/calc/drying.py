"""When wood will be ready: coming weighings drawn from what the past ones tell, with a range."""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from itertools import pairwise
from statistics import median, median_low
from typing import TYPE_CHECKING

from inventory.base.calc.days import day_words
from inventory.wood.calc.seasoning import (
    DEFAULT_RULE,
    DEFAULT_WOOD,
    SCALE_STEP,
    SURE,
    MassReading,
    ReadyRule,
    Wood,
    counted_weighings,
    curves_of,
    daily,
    ready_verdict,
)

if TYPE_CHECKING:
    from inventory.wood.calc.drying_ahead import Waits

LEAST_READINGS = 4
"""First mass, last mass and pace are three; a fourth weighing is the first check on them."""

HELD = 0.8
"""Share of the days that a range is to hold; days of weighings may not allow for just that."""

UNEVEN = 0.25
"""What it counts that a range leaves more on one side than on the other, beside what it holds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """The day on which the ready rule will be met, or none with the reason in `words`.

    All are days on which a weighing would fall. `earliest` and `latest` bound `on`, and `chance`
    is that the day lies between; `latest` is None when the weighings can't bound it.
    `final_grams` is the mass that the piece tends to.
    """

    words: str
    on: date | None = None
    earliest: date | None = None
    latest: date | None = None
    chance: float | None = None
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
    return _as_forecast(rows, _waits(rows, rule, wood, every, scale_step))


def usual_gap(rows: Sequence[MassReading], rule: ReadyRule) -> int:
    """Return the days that usually lie between weighings that count."""
    days = [row.on.toordinal() for row in counted_weighings(rows, rule)]
    gaps = [after - before for before, after in pairwise(days)]
    return max(round(median(gaps)), 1) if gaps else max(rule.days_apart, 1)


def _waits(
    rows: Sequence[MassReading], rule: ReadyRule, wood: Wood, every: int, scale_step: Decimal
) -> "Waits":
    from inventory.wood.calc.drying_ahead import Ahead, draw_waits

    counted = counted_weighings(rows, rule)[-(rule.weighings - 1) :]
    ahead = Ahead(
        began=(rows[-1].on - rows[0].on).days,
        every=every,
        before=tuple(float(one.grams) for one in counted),
        weighings=rule.weighings,
        within=float(rule.within_for(wood.thickness_mm)),
        near=float(rule.near),
        sure=SURE,
    )
    return draw_waits(curves_of(rows, wood, scale_step), ahead)


def _as_forecast(rows: Sequence[MassReading], waits: "Waits") -> Forecast:
    middle = median_low(waits.days)
    if not math.isfinite(middle):
        return Forecast(
            words="The weighings don't level off yet, so no final mass can be forecast."
        )
    early, late, chance = range_about_middle(waits.days)
    on, earliest = _day(rows, middle), _day(rows, early)
    latest = _day(rows, late) if math.isfinite(late) else None
    return Forecast(
        words=f"Ready about {day_words(on)}, {_range_words(earliest, latest, chance)}, from "
        f"{len(rows)} weighings.",
        on=on,
        earliest=earliest,
        latest=latest,
        chance=chance,
        final_grams=round(Decimal(waits.final_grams), 1),
    )


def range_about_middle(waits: Sequence[float]) -> tuple[float, float, float]:
    """Return the ends of a range that holds the middle one of `waits`, and the share it holds.

    Of all such ranges it is the one whose share is nearest to `HELD`, as even on both sides as
    the waits allow: a weighing falls on some days only.
    """
    ordered = sorted(waits)
    number, middle = len(ordered), median_low(ordered)

    def unlike(ends: tuple[float, float]) -> float:
        before, after = bisect_left(ordered, ends[0]), number - bisect_right(ordered, ends[1])
        uneven = abs(before - after) / number
        return abs(1 - (before + after) / number - HELD) + UNEVEN * uneven

    days = set(ordered)
    early, late = min(
        ((one, other) for one in days if one <= middle for other in days if other >= middle),
        key=lambda ends: (unlike(ends), ends),
    )
    return early, late, (bisect_right(ordered, late) - bisect_left(ordered, early)) / number


def _day(rows: Sequence[MassReading], wait: float) -> date:
    return rows[-1].on + timedelta(days=math.ceil(wait))


def _range_words(earliest: date, latest: date | None, chance: float) -> str:
    likely = f"{round(100 * chance)} % likely"
    if latest is None:
        return f"{likely} not before {day_words(earliest)}; the latest date is not known yet"
    if earliest == latest:
        return f"{likely} on that day"
    return f"{likely} between {day_words(earliest)} and {day_words(latest)}"
