"""How well figures given beforehand met what came: coverage of ranges and pinball loss."""

from dataclasses import dataclass

import numpy as np

from shop.estimates.calc.distributions import Floats
from shop.estimates.calc.ranges import LEVELS
from shop.estimates.calc.table import Flags

LOSS_LEVELS = (0.05, 0.10, 0.25, 0.50, 0.75, 0.90, 0.95)
"""Shares at which the pinball loss is taken and averaged."""

RANGES = {50: (0.25, 0.75), 80: (0.10, 0.90), 90: (0.05, 0.95)}
"""The middle so many of a hundred builds → the levels between which they lie."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Losses:
    """Mean pinball loss in hours, of the estimate and of two plain figures in its place."""

    estimate: float
    likely: float
    mean: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Score:
    """How `count` past figures came out.

    within: 50, 80 and 90 → the part of them that fell within that range. loss: pinball loss
    averaged over levels from 5 to 95 %. middle_loss: at 50 %, half of the mean miss, where a
    single plain figure stands its best chance. All are empty when nothing was scored.
    """

    key: str
    count: int
    within: dict[int, float]
    loss: Losses | None
    middle_loss: Losses | None


def pinball(actual: Floats, figure: Floats, share: float) -> Floats:
    """Return the loss of `figure` as the value that a `share` of builds stay under.

    An hour too little costs `share`, an hour too much 1 - share. Source: Koenker and Bassett,
    Regression Quantiles, 1978 (from memory).
    """
    short = actual - figure
    return np.asarray(np.maximum(share * short, (share - 1) * short))


def score(
    key: str, actual: Floats, quantiles: Floats, plain: dict[str, Floats], chosen: Flags
) -> Score:
    """Score the `chosen` of the figures.

    quantiles: the estimate at `LEVELS` (…, levels); plain: `likely` and `mean` beside `actual`,
    all of one shape.
    """
    figures = {"estimate": quantiles[chosen]}
    figures |= {
        name: np.repeat(values[chosen][:, None], len(LEVELS), axis=1)
        for name, values in plain.items()
    }
    came = actual[chosen]
    if not came.size:
        return Score(key=key, count=0, within={}, loss=None, middle_loss=None)
    return Score(
        key=key,
        count=len(came),
        within={middle: _within(came, figures["estimate"], middle) for middle in RANGES},
        loss=Losses(**{name: _loss(came, at, LOSS_LEVELS) for name, at in figures.items()}),
        middle_loss=Losses(**{name: _loss(came, at, (0.5,)) for name, at in figures.items()}),
    )


def _within(actual: Floats, quantiles: Floats, middle: int) -> float:
    below, above = (quantiles[:, _place(level)] for level in RANGES[middle])
    return float(((actual >= below) & (actual <= above)).mean())


def _loss(actual: Floats, quantiles: Floats, levels: tuple[float, ...]) -> float:
    losses = [pinball(actual, quantiles[:, _place(level)], level) for level in levels]
    return float(np.mean(losses))


def _place(level: float) -> int:
    return int(np.flatnonzero(np.isclose(LEVELS, level))[0])
