"""Whether one way to foretell misses less than another, or chance could have it so."""

from dataclasses import dataclass

import numpy as np
from scipy.special import betaincinv

from shop.estimates.calc.distributions import Floats

RESAMPLES = 4000
SEED = 1
DOUBT = 0.05
"""Chance taken of telling a difference where there is none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """Mean difference of the losses (above 0: the first loses more), and whether it can be told."""

    difference: float
    told: bool


def compare(first: Floats, second: Floats) -> Compared:
    """Compare losses on the same cases by a paired bootstrap.

    Source: Efron and Tibshirani, An Introduction to the Bootstrap, 1993, chapter 16: studentised
    means, resampled about 0, which keeps its chance of error with a dozen cases (from memory).
    """
    apart = np.asarray(first - second, dtype=float)
    number, mean = len(apart), float(apart.mean())
    doubt = apart.std(ddof=1) / np.sqrt(number) if number > 1 else 0.0
    if doubt == 0:
        return Compared(difference=mean, told=number > 1 and mean != 0)
    random = np.random.default_rng(SEED)
    drawn = (apart - mean)[random.integers(0, number, (RESAMPLES, number))]
    doubts = np.maximum(drawn.std(axis=1, ddof=1) / np.sqrt(number), 1e-12)
    further = (np.abs(drawn.mean(axis=1) / doubts) >= abs(mean / doubt)).mean()
    return Compared(difference=mean, told=bool(further < DOUBT))


def share_interval(held: int, number: int) -> tuple[float, float]:
    """Return the exact 95 % interval of a share of which `held` of `number` cases are known.

    Source: Clopper and Pearson, Biometrika 26, 1934.
    """
    low = betaincinv(held, number - held + 1, DOUBT / 2) if held else 0.0
    high = betaincinv(held + 1, number - held, 1 - DOUBT / 2) if held < number else 1.0
    return float(low), float(high)
