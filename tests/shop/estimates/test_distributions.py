from math import exp, log

import numpy as np
import pytest
from scipy import stats

from shop.estimates.calc.distributions import lognormal_mean, student_from_normal, student_quantile
from shop.estimates.calc.ranges import stage_range


# Log-normal table, computed from the standard formulas: median, mean, 80th and 90th percentile.
@pytest.mark.parametrize(
    ("centre", "deviation", "median", "mean", "p80", "p90"),
    [
        (0, 0.25, 1, 1.031743, 1.234178, 1.377662),
        (log(40), 0.3, 40, 41.841114, 51.488878, 58.753159),
    ],
)
def test_ranges_of_a_lognormal(centre, deviation, median, mean, p80, p90):
    hours = stage_range(centre, deviation, 1e9)
    assert hours.median == pytest.approx(median, abs=5e-7)
    assert hours.mean == pytest.approx(mean, abs=5e-6)
    assert hours.enough_80 == pytest.approx(p80, abs=5e-6)
    assert hours.enough_90 == pytest.approx(p90, abs=5e-6)


def test_the_mean_is_above_the_median_by_half_the_variance():
    assert lognormal_mean(log(40), 0.09) == pytest.approx(40 * exp(0.045))


# Tables of Student t (computed).
@pytest.mark.parametrize(
    ("share", "degrees", "value"),
    [
        (0.95, 1, 6.3138), (0.95, 2, 2.9200), (0.95, 3, 2.3534), (0.95, 5, 2.0150),
        (0.95, 8, 1.8595), (0.95, 10, 1.8125), (0.95, 16, 1.7459), (0.95, 20, 1.7247),
        (0.95, 30, 1.6973), (0.975, 5, 2.5706), (0.975, 8, 2.3060), (0.975, 10, 2.2281),
        (0.975, 20, 2.0860),
    ],
)  # fmt: skip
def test_student_quantiles_are_those_of_the_tables(share, degrees, value):
    assert student_quantile(share, degrees) == pytest.approx(value, abs=5e-5)


@pytest.mark.parametrize("degrees", [4, 6, 10, 40, 1000])
def test_normal_values_become_student_values_of_the_same_rank(degrees):
    ranks = np.linspace(0.005, 0.995, 199)
    quick = student_from_normal(stats.norm.ppf(ranks), degrees)
    assert quick == pytest.approx(stats.t.ppf(ranks, degrees), abs=0.1)
    middle = slice(9, -9)
    assert quick[middle] == pytest.approx(stats.t.ppf(ranks, degrees)[middle], abs=0.01)
