import numpy as np
import pytest
from scipy import stats

from shop.estimates.calc.assumptions import Assumptions
from shop.estimates.calc.conjugate import Sums, predict, update
from shop.estimates.calc.prior import LEAST_SPREAD, template_prior, template_spread
from shop.estimates.calc.records import StageFigures

# TRADE table 2A: carve and graduate the top; fingerboard.
TOP = StageFigures(key="top", low=9, likely=14, high=22)
FINGERBOARD = StageFigures(key="fingerboard", low=3, likely=5, high=10)


def predicted(stage, assumptions):
    prior = template_prior([stage], assumptions)
    nothing = Sums(
        squares=np.zeros((1, 1)), products=np.zeros(1), values=np.array(0.0), weights=np.array(0.0)
    )
    posterior = update(
        nothing, precision=np.array([prior.worth]), shape=prior.shape, rate=prior.rate[0]
    )
    found = predict(posterior, np.ones(1))
    return stats.t(found.degrees, prior.location[0] + found.centre, found.scale)


@pytest.mark.parametrize("stage", [TOP, FINGERBOARD])
@pytest.mark.parametrize(("low", "high"), [(10, 90), (5, 95), (20, 80), (10, 95)])
@pytest.mark.parametrize("worth", [1, 2, 10])
def test_low_and_high_are_as_far_apart_as_their_percentiles_say(stage, low, high, worth):
    log_hours = predicted(stage, Assumptions(low_percentile=low, high_percentile=high, worth=worth))
    apart = log_hours.ppf(high / 100) - log_hours.ppf(low / 100)
    assert np.exp(apart) == pytest.approx(stage.high / stage.low)


def test_likely_is_the_middle_figure_unless_said_otherwise():
    assert np.exp(predicted(TOP, Assumptions()).ppf(0.5)) == pytest.approx(14)


def test_likely_may_be_the_most_frequent_figure():
    # Log-normal: mode exp(m - s²), so the middle lies above it.
    (spread,) = template_spread([TOP], Assumptions())
    middle = np.exp(predicted(TOP, Assumptions(likely_is="mode")).ppf(0.5))
    assert middle == pytest.approx(14 * np.exp(spread**2))


def test_no_stage_is_sure_to_the_minute():
    sure = StageFigures(key="packing", low=1.5, likely=1.5, high=1.5)
    prior = template_prior([sure], Assumptions(worth=2))
    assert prior.rate[0] * 3 / (prior.shape * 2) == pytest.approx(LEAST_SPREAD**2)


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"low": 0}, "low, likely and high hours must be above 0, and in that order"),
        ({"low": 8}, "in that order"),
        ({"high": 6}, "in that order"),
        ({"batch_savings": {1: 0.1}}, "needs a batch of at least 2"),
        ({"batch_savings": {2: 1.0}}, "from 0 to under 1"),
        ({"option_hours": {"no binding": -7}}, "can't remove all"),
    ],
)
def test_figures_that_cannot_be_are_refused(fields, sentence):
    with pytest.raises(ValueError, match=f"binding: .*{sentence}"):
        StageFigures(**{"key": "binding", "low": 4, "likely": 7, "high": 12, **fields})


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"low_percentile": 50}, "Low must be a percentile under 50"),
        ({"high_percentile": 100}, "high one over 50"),
        ({"worth": 0}, "weight of the likely hours must be more than 0 builds"),
        ({"common_worth": 0}, "weight of the likely hours must be more than 0 builds"),
        ({"spread_worth": 2}, "weight of the spread must be more than 2 builds"),
        ({"half_life_years": 0}, "must be above 0"),
        ({"common_share": 1}, "from 0 to under 1"),
        ({"option_doubt": 0}, "must be above 0"),
        ({"draws": 10}, "at least 100 simulated builds"),
    ],
)
def test_assumptions_that_cannot_be_are_refused(fields, sentence):
    with pytest.raises(ValueError, match=sentence):
        Assumptions(**fields)
