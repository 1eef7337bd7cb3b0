"""Learning curves: hours by number in the pattern, each doubling taking the same part as long.

The unit model (Crawford): the hours of the n-th build are first x n^b, where b is log2 of the
rate: 0.9 means that every doubling takes 90 %. The cumulative average model (Wright) says so of the
average of the first n builds; the n-th itself then takes first x (n^(b+1) - (n-1)^(b+1)).
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from statistics import fmean, linear_regression, median
from typing import Literal

from inventory.base.calc.hours import h_mm

LEAST_BUILDS = 4
"""A curve is fitted to this many builds or more."""

Model = Literal["unit", "average"]

RATES = (0.505, 2.0, 3001)
"""Rates tried for the cumulative average model: from, to, and how many. At 0.5 later builds take no
time at all."""

SURE = 0.95
"""The range of a rate; while 100 % lies within it, learning can't be told from none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LearningCurve:
    """A learning curve: hours of the first build, rate of each doubling, builds fitted to.

    model: what the rate is of, each build or the average of all so far. low, high: the range of the
    rate, 95 % sure. typical_miss: the middle distance of builds from the curve, as a part of their
    hours.
    """

    first_hours: float
    rate: float
    low: float
    high: float
    builds: int
    typical_miss: float
    model: Model = "unit"

    @property
    def is_told(self) -> bool:
        """Whether hours changed with the number by more than chance would have it."""
        return not self.low <= 1 <= self.high

    def hours(self, number: float) -> float:
        """Return the hours of the build with this number in the pattern, or between two."""
        return self.first_hours * FACTORS[self.model](self.rate, number)

    def words(self) -> str:
        """Return the curve as a sentence, or that there is none to be told yet."""
        low, high = (f"{100 * one:.0f}" for one in (self.low, self.high))
        if not self.is_told:
            return (
                f"From {self.builds} builds learning can't be told from chance yet: each doubling "
                f"of the number may take {low} to {high} % of {self._of} (95 % sure)."
            )
        return (
            f"From {self.builds} builds: the first took about {h_mm(self.first_hours, 6)}, and "
            f"each doubling of the number takes {100 * self.rate:.0f} % of {self._of}, {low} to "
            f"{high} % (95 % sure). Builds are about {100 * self.typical_miss:.0f} % off the curve."
        )

    @property
    def _of(self) -> str:
        return "the hours" if self.model == "unit" else "the average hours so far"


def unit_factor(rate: float, number: float) -> float:
    """Return the hours of build `number` as a multiple of the first's, in the unit model."""
    return float(number ** math.log2(_checked(rate)))


def average_factor(rate: float, number: float) -> float:
    """Return the hours of build `number` as a multiple of the first's, where each doubling leaves
    `rate` of the average so far. Between two builds and before the second it is as near."""
    grows = 1 + math.log2(_checked(rate))
    before = max(number - 1, 0)
    return float(number**grows - (before**grows if before else 0))


FACTORS: dict[Model, Callable[[float, float], float]] = {
    "unit": unit_factor,
    "average": average_factor,
}


def fit_learning(
    hours_by_number: Sequence[tuple[int, float]], model: Model = "unit"
) -> LearningCurve | None:
    """Fit a model to (number in the pattern, hours) by least squares of the logs.

    Several builds may have one number, as in a batch. Returns None with fewer than four builds or
    only one number. Raises ValueError when a number is below 1 or hours are not above 0.
    """
    if any(number < 1 or hours <= 0 for number, hours in hours_by_number):
        raise ValueError("Build numbers start at 1, and hours must be above 0.")
    if len(hours_by_number) < LEAST_BUILDS or len({number for number, _ in hours_by_number}) < 2:
        return None
    fit = _fit_unit if model == "unit" else _fit_average
    first, (low, rate, high) = fit(hours_by_number)
    factor = FACTORS[model]
    misses = [abs(hours / (first * factor(rate, n)) - 1) for n, hours in hours_by_number]
    return LearningCurve(
        first_hours=first,
        rate=rate,
        low=low,
        high=high,
        builds=len(hours_by_number),
        typical_miss=median(misses),
        model=model,
    )


def _fit_unit(
    hours_by_number: Sequence[tuple[int, float]],
) -> tuple[float, tuple[float, float, float]]:
    """Return the first build's hours, and the rate between the ends of its range."""
    numbers = [math.log2(number) for number, _ in hours_by_number]
    logs = [math.log2(hours) for _, hours in hours_by_number]
    slope, level = linear_regression(numbers, logs)
    doubt = _doubt(numbers, [log - level - slope * n for n, log in zip(numbers, logs, strict=True)])
    return 2.0**level, (2.0 ** (slope - doubt), 2.0**slope, 2.0 ** (slope + doubt))


def _fit_average(
    hours_by_number: Sequence[tuple[int, float]],
) -> tuple[float, tuple[float, float, float]]:
    """The same of the cumulative average model, from the hours of each build.

    Not from averages: each of them has all before it in it, so that a line through them looks far
    surer than it is. The range has the rates whose misfit Student's t allows.
    """
    import numpy as np
    from scipy.special import stdtrit

    rates = np.geomspace(*RATES)
    numbers, hours = (np.array(part, dtype=float) for part in zip(*hours_by_number, strict=True))
    grows = 1 + np.log2(rates)[:, None]
    before = np.where(numbers > 1, np.maximum(numbers - 1, 1) ** grows, 0)
    levels = np.log(hours) - np.log(numbers**grows - before)
    misfit = ((levels - levels.mean(axis=1, keepdims=True)) ** 2).sum(axis=1)
    best, free = int(misfit.argmin()), len(hours) - 2
    most = misfit[best] * (1 + float(stdtrit(free, (1 + SURE) / 2)) ** 2 / free)
    within = rates[misfit <= most]
    first = float(np.exp(levels[best].mean()))
    return first, (float(within[0]), float(rates[best]), float(within[-1]))


def _doubt(numbers: Sequence[float], misses: Sequence[float]) -> float:
    """Return half the range of the slope of a line that misses its points so (Student's t)."""
    from scipy.special import stdtrit

    free, middle = len(numbers) - 2, fmean(numbers)
    wide = sum((number - middle) ** 2 for number in numbers)
    scatter = math.sqrt(sum(miss**2 for miss in misses) / free / wide)
    return float(stdtrit(free, (1 + SURE) / 2)) * scatter


def _checked(rate: float) -> float:
    if rate <= 0:
        raise ValueError("The rate of a learning curve must be above 0; 0.9 means 90 %.")
    return rate
