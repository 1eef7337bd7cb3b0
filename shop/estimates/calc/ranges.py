"""Ranges of hours: from the Student t of a stage's log hours, or from simulated totals."""

import numpy as np

from shop.estimates.calc.distributions import Floats, lognormal_mean, student_quantile
from shop.estimates.calc.records import HoursRange

LEVELS = np.array([0.05, 0.10, 0.25, 0.50, 0.75, 0.80, 0.90, 0.95])
"""Shares of builds that take less, for every figure of a range."""


def stage_range(centre: float, scale: float, degrees: float) -> HoursRange:
    """Return the range of hours whose log is a Student t.

    The mean is that of the log-normal of the same centre and variance: a log-t has none.
    """
    quantiles = np.exp(centre + scale * student_quantile(LEVELS, degrees))
    return _range(quantiles, mean_hours(centre, scale, degrees))


def total_range(draws: Floats, mean: float) -> HoursRange:
    """Return the range of simulated totals; `mean` is the sum of the means of the stages."""
    return _range(np.quantile(draws, LEVELS), mean)


def mean_hours(centre: float, scale: float, degrees: float) -> float:
    """Return the mean of the log-normal with the centre and variance of this Student t."""
    return float(lognormal_mean(centre, scale**2 * degrees / (degrees - 2)))


def _range(quantiles: Floats, mean: float) -> HoursRange:
    p5, p10, p25, p50, p75, p80, p90, p95 = (float(hours) for hours in quantiles)
    return HoursRange(
        median=p50,
        mean=mean,
        enough_80=p80,
        enough_90=p90,
        range_50=(p25, p75),
        range_80=(p10, p90),
        range_90=(p5, p95),
    )
