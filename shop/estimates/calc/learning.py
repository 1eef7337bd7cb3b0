"""Learning curves: hours by number in the pattern, each doubling taking the same part as long.

The unit model (Crawford): the hours of the n-th build are first x n^b, where b is log2 of the
rate: 0.9 means that every doubling takes 90 %.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean, linear_regression, median

from inventory.base.calc.hours import h_mm

LEAST_BUILDS = 4
"""A curve is fitted to this many builds or more."""

SURE = 0.95
"""The range of a rate; while 100 % lies within it, learning can't be told from none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LearningCurve:
    """A unit-model curve: hours of the first build, rate of each doubling, builds fitted to.

    low, high: the range of the rate, 95 % sure. typical_miss: the middle distance of builds from
    the curve, as a part of their hours.
    """

    first_hours: float
    rate: float
    low: float
    high: float
    builds: int
    typical_miss: float

    @property
    def is_told(self) -> bool:
        """Whether hours changed with the number by more than chance would have it."""
        return not self.low <= 1 <= self.high

    def hours(self, number: float) -> float:
        """Return the hours of the build with this number in the pattern, or between two."""
        return self.first_hours * unit_factor(self.rate, number)

    def words(self) -> str:
        """Return the curve as a sentence, or that there is none to be told yet."""
        low, high = (f"{100 * one:.0f}" for one in (self.low, self.high))
        if not self.is_told:
            return (
                f"From {self.builds} builds learning can't be told from chance yet: each doubling "
                f"of the number may take {low} to {high} % of the hours (95 % sure)."
            )
        return (
            f"From {self.builds} builds: the first took about {h_mm(self.first_hours, 6)}, and "
            f"each doubling of the number takes {100 * self.rate:.0f} % of the hours, {low} to "
            f"{high} % (95 % sure). Builds are about {100 * self.typical_miss:.0f} % off the curve."
        )


def unit_factor(rate: float, number: float) -> float:
    """Return the hours of build `number` as a multiple of the first's, in the unit model."""
    return float(number ** math.log2(_checked(rate)))


def fit_learning(hours_by_number: Sequence[tuple[int, float]]) -> LearningCurve | None:
    """Fit the unit model to (number in the pattern, hours) by least squares of the logs.

    Several builds may have one number, as in a batch. Returns None with fewer than four builds or
    only one number. Raises ValueError when a number is below 1 or hours are not above 0.
    """
    if any(number < 1 or hours <= 0 for number, hours in hours_by_number):
        raise ValueError("Build numbers start at 1, and hours must be above 0.")
    numbers = [math.log2(number) for number, _ in hours_by_number]
    if len(numbers) < LEAST_BUILDS or len(set(numbers)) < 2:
        return None
    logs = [math.log2(hours) for _, hours in hours_by_number]
    slope, level = linear_regression(numbers, logs)
    first, rate = 2.0**level, 2.0**slope
    misses = [abs(hours / (first * unit_factor(rate, n)) - 1) for n, hours in hours_by_number]
    doubt = _doubt(numbers, [log - level - slope * n for n, log in zip(numbers, logs, strict=True)])
    return LearningCurve(
        first_hours=first,
        rate=rate,
        low=2.0 ** (slope - doubt),
        high=2.0 ** (slope + doubt),
        builds=len(numbers),
        typical_miss=median(misses),
    )


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
