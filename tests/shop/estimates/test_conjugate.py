import numpy as np
import pytest
from scipy import stats

from shop.estimates.calc.conjugate import predict, update
from tests.shop.estimates.sums import sums_of

# Hoff, A First Course in Bayesian Statistical Methods, sec. 5.3: wing lengths of nine midges.
# Data and prior from memory of the book; the printed posterior mean 1.814 and variance 0.015
# are met.
MIDGES = [1.64, 1.70, 1.72, 1.74, 1.82, 1.82, 1.82, 1.90, 2.08]
# A case study in a library's reference documentation: data and prior read there, results worked
# out independently.
CASE = [9.98, 10.02, 9.97, 10.03, 10.01, 9.99, 10.04, 9.96, 10.00, 10.02]


def learn(values, mean, worth, shape, rate, weights=None):
    """Update with plain values: the only coefficient is the distance from the prior mean."""
    values = np.array(values) - mean
    design = np.ones((len(values), 1))
    weights = np.ones(len(values)) if weights is None else np.array(weights, dtype=float)
    return update(
        sums_of(values, design, weights), precision=np.array([worth]), shape=shape, rate=rate
    )


def test_midge_wings_are_learned_as_the_book_prints():
    posterior = learn(MIDGES, 1.9, 1.0, 0.5, 0.005)
    assert 1.9 + posterior.coefficients[0] == pytest.approx(1.814, abs=5e-7)
    assert posterior.precision[0, 0] == 10
    assert posterior.shape == 5
    assert posterior.rate == pytest.approx(0.07662, abs=5e-6)
    assert posterior.rate / posterior.shape == pytest.approx(0.015324, abs=5e-7)


@pytest.mark.parametrize(
    ("share", "low", "high"), [(0.90, 1.57868, 2.04932), (0.95, 1.52472, 2.10328)]
)
def test_the_next_midge_is_predicted_by_a_student_t(share, low, high):
    found = predict(learn(MIDGES, 1.9, 1.0, 0.5, 0.005), np.ones(1))
    assert found.degrees == 10
    assert found.scale == pytest.approx(0.129832, abs=5e-7)
    interval = stats.t.interval(share, found.degrees, 1.9 + found.centre, found.scale)
    assert interval == pytest.approx((low, high), abs=5e-6)


def test_the_case_study_is_learned_and_predicted():
    posterior = learn(CASE, 10.0, 1.0, 3.0, 0.02)
    assert 10 + posterior.coefficients[0] == pytest.approx(10.001818, abs=5e-7)
    assert posterior.precision[0, 0] == 11
    assert posterior.shape == 8
    assert posterior.rate == pytest.approx(0.02318182, abs=5e-9)
    assert posterior.rate / (posterior.shape - 1) == pytest.approx(0.00331169, abs=5e-9)
    found = predict(posterior, np.ones(1))
    assert (found.degrees, found.scale) == (16, pytest.approx(0.056224, abs=5e-7))
    interval = stats.t.interval(0.90, found.degrees, 10 + found.centre, found.scale)
    assert interval == pytest.approx((9.90366, 10.09998), abs=5e-6)


def test_the_prediction_is_what_integrating_over_mean_and_variance_gives():
    # The long way: draw variance, then mean, then the next value, four million times.
    rng = np.random.default_rng(5)
    posterior = learn(MIDGES, 1.9, 1.0, 0.5, 0.005)
    variance = posterior.rate / rng.standard_gamma(posterior.shape, 4_000_000)
    mean = rng.normal(posterior.coefficients[0], np.sqrt(variance / posterior.precision[0, 0]))
    following = rng.normal(mean, np.sqrt(variance))
    found = predict(posterior, np.ones(1))
    levels = [0.05, 0.1, 0.25, 0.5, 0.75, 0.9, 0.95]
    exact = stats.t.ppf(levels, found.degrees, found.centre, found.scale)
    assert np.quantile(following, levels) == pytest.approx(exact, abs=0.001)


def test_a_weight_of_two_is_the_value_twice():
    twice = learn([1.7, 1.8, 1.8], 1.9, 1.0, 0.5, 0.005)
    weighted = learn([1.7, 1.8], 1.9, 1.0, 0.5, 0.005, weights=[1, 2])
    assert weighted.coefficients == pytest.approx(twice.coefficients)
    assert weighted.rate == pytest.approx(twice.rate)
    assert weighted.shape == twice.shape


def test_nothing_learned_leaves_the_prior():
    posterior = learn([], 1.9, 2.0, 0.5, 0.005)
    assert posterior.coefficients[0] == 0
    assert (posterior.shape, posterior.rate) == (0.5, 0.005)


def test_an_effect_is_fitted_as_ridge_regression_does():
    # With prior precisions as penalties the coefficients are those of ridge regression.
    rng = np.random.default_rng(3)
    design = np.column_stack([np.ones(40), rng.integers(0, 2, 40)])
    values = design @ [0.1, -0.2] + rng.normal(0, 0.05, 40)
    penalty = np.array([2.0, 0.5])
    posterior = update(sums_of(values, design, np.ones(40)), precision=penalty, shape=3, rate=0.01)
    rows = np.vstack([design, np.diag(np.sqrt(penalty))])
    ridge = np.linalg.lstsq(rows, np.concatenate([values, [0, 0]]), rcond=None)
    assert posterior.coefficients == pytest.approx(ridge[0])
    assert posterior.rate == pytest.approx(0.01 + ridge[1][0] / 2)


def test_many_cases_at_once_are_each_case_alone():
    alone = [learn(values, 1.9, 1.0, 0.5, 0.005) for values in (MIDGES, MIDGES[:4])]
    sums = [
        sums_of(np.array(v) - 1.9, np.ones((len(v), 1)), np.ones(len(v)))
        for v in (MIDGES, MIDGES[:4])
    ]
    together = update(
        type(sums[0])(
            **{
                name: np.stack([getattr(one, name) for one in sums])
                for name in ("squares", "products", "values", "weights")
            }
        ),
        precision=np.ones((2, 1)),
        shape=0.5,
        rate=0.005,
    )
    assert together.rate == pytest.approx([one.rate for one in alone])
    assert together.coefficients[:, 0] == pytest.approx([one.coefficients[0] for one in alone])
