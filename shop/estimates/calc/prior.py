"""What is believed before any past build: the template's figures as a distribution of log hours."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from shop.estimates.calc.assumptions import LEAST_SPREAD, Assumptions
from shop.estimates.calc.distributions import Floats, student_quantile
from shop.estimates.calc.records import StageFigures


@dataclass(frozen=True, slots=True, kw_only=True)
class Prior:
    """A normal-inverse-gamma for each stage, as arrays over stages.

    location: centre of log hours. worth: builds it is worth (one figure). shape, rate: of the
    inverse gamma of the variance. The predictive t of one build has 2 * shape degrees and scale²
    rate (worth + 1) / (shape worth), so that low and high are as far apart as the template says.
    """

    location: Floats
    worth: float
    shape: float
    rate: Floats


def template_prior(stages: Sequence[StageFigures], assumptions: Assumptions) -> Prior:
    """Turn low, likely and high into a prior whose prediction spreads just as they do.

    The likely figure sets the centre; the ratio of high to low sets the spread.
    """
    spread = template_spread(stages, assumptions)
    location = np.log([stage.likely for stage in stages])
    if assumptions.likely_is == "mode":
        location = location + spread**2
    worth, shape = assumptions.worth, assumptions.spread_worth / 2
    return Prior(
        location=location,
        worth=worth,
        shape=shape,
        rate=spread**2 * shape * worth / (worth + 1),
    )


def template_spread(stages: Sequence[StageFigures], assumptions: Assumptions) -> Floats:
    """Return the scale of log hours that puts low and high at their percentiles."""
    shares = np.array([assumptions.low_percentile, assumptions.high_percentile]) / 100
    below, above = student_quantile(shares, assumptions.spread_worth)
    ratios = np.array([math.log(stage.high / stage.low) for stage in stages])
    return np.asarray(np.maximum(ratios / (above - below), LEAST_SPREAD))
