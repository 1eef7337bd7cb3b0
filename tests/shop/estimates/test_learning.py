import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import linregress, t

from shop.estimates.calc.learning import average_factor, fit_learning, unit_factor

# Learning curves at 80 and 90 %, to four decimals: rate, number, and the hours of this build as a
# part of the first's in the unit model, as in the tables of textbooks of operations management.
TABLE = """
0.80 1 1.0
0.80 2 0.8
0.80 3 0.7021
0.80 4 0.64
0.80 5 0.5956
0.80 6 0.5617
0.80 7 0.5345
0.80 8 0.512
0.80 9 0.4929
0.80 10 0.4765
0.80 11 0.4621
0.80 12 0.4493
0.80 13 0.4379
0.80 14 0.4276
0.80 15 0.4182
0.80 16 0.4096
0.90 1 1.0
0.90 2 0.9
0.90 3 0.8462
0.90 4 0.81
0.90 5 0.783
0.90 6 0.7616
0.90 7 0.7439
0.90 8 0.729
0.90 9 0.7161
0.90 10 0.7047
0.90 11 0.6946
0.90 12 0.6854
0.90 13 0.6771
0.90 14 0.6696
0.90 15 0.6626
0.90 16 0.6561
"""
ROWS = [[float(figure) for figure in line.split()] for line in TABLE.split("\n") if line]


@pytest.mark.parametrize(("rate", "number", "factor"), ROWS)
def test_the_unit_model_follows_the_published_table(rate, number, factor):
    assert unit_factor(rate, int(number)) == pytest.approx(factor, abs=6e-5)


# The same tables for the cumulative average model: rate, number, average of the first so many, and
# the last of them alone.
AVERAGES = """
0.80 1 1.0 1.0
0.80 2 0.8 0.6
0.80 3 0.7021 0.5063
0.80 4 0.64 0.4537
0.80 8 0.512 0.3546
0.80 16 0.4096 0.2806
0.90 1 1.0 1.0
0.90 2 0.9 0.8
0.90 3 0.8462 0.7386
0.90 4 0.81 0.7014
0.90 8 0.729 0.6244
0.90 16 0.6561 0.5591
"""
AVERAGE_ROWS = [[float(figure) for figure in row.split()] for row in AVERAGES.split("\n") if row]


@pytest.mark.parametrize(("rate", "number", "average", "last"), AVERAGE_ROWS)
def test_the_cumulative_average_model_follows_the_published_table(rate, number, average, last):
    hours = [average_factor(rate, n) for n in range(1, int(number) + 1)]
    assert np.mean(hours) == pytest.approx(average, abs=6e-5)
    assert hours[-1] == pytest.approx(last, abs=6e-5)


@given(st.floats(0.6, 1.1), st.floats(1, 300), st.integers(4, 40))
def test_a_cumulative_average_curve_without_scatter_is_found_again(rate, first, builds):
    numbered = [(n, first * average_factor(rate, n)) for n in range(1, builds + 1)]
    curve = fit_learning(numbered, "average")
    assert (curve.rate, curve.first_hours) == pytest.approx((rate, first), rel=1e-2)
    assert curve.hours(7) == pytest.approx(first * average_factor(rate, 7), rel=1e-2)


def test_a_cumulative_average_curve_says_what_its_rate_is_of():
    curve = fit_learning([(n, 90 * average_factor(0.8, n)) for n in range(1, 9)], "average")
    assert "takes 80 % of the average hours so far" in curve.words()


def test_shops_that_learn_nothing_are_rarely_told_of_learning_in_either_model():
    rng = np.random.default_rng(8)
    for model in ("unit", "average"):
        shops = [
            [(n, 90 * math.exp(error)) for n, error in enumerate(rng.normal(0, 0.2, 6), 1)]
            for _ in range(300)
        ]
        assert sum(fit_learning(shop, model).is_told for shop in shops) < 0.09 * len(shops)


@given(st.floats(0.5, 1.2), st.integers(1, 500))
def test_every_doubling_takes_the_rate(rate, number):
    assert unit_factor(rate, 2 * number) == pytest.approx(rate * unit_factor(rate, number))


@given(st.floats(0.6, 1.1), st.floats(1, 300), st.integers(4, 40))
def test_a_curve_without_scatter_is_found_again(rate, first, builds):
    curve = fit_learning([(n, first * unit_factor(rate, n)) for n in range(1, builds + 1)])
    assert (curve.rate, curve.first_hours) == pytest.approx((rate, first), rel=1e-6)
    assert curve.hours(7) == pytest.approx(first * unit_factor(rate, 7))
    assert curve.typical_miss == pytest.approx(0, abs=1e-6)


def test_the_fit_is_the_straight_line_through_the_logs():
    rng = np.random.default_rng(2)
    builds = [(n, 120 * n**-0.15 * np.exp(rng.normal(0, 0.1))) for n in (1, 2, 3, 3, 5, 8, 9)]
    slope, level = np.polyfit(*np.log2(np.array(builds)).T, 1)
    curve = fit_learning(builds)
    assert (curve.rate, curve.first_hours) == pytest.approx((2**slope, 2**level))


def test_a_curve_is_told_in_a_sentence_with_its_range():
    off = [1.01, 0.99, 0.99, 1.01, 1.0]
    builds = [
        (n, 120 * unit_factor(0.9, n) * by) for n, by in zip((1, 2, 4, 8, 16), off, strict=True)
    ]
    curve = fit_learning(builds)
    fit = linregress(*np.log2(np.array(builds)).T)
    reach = t.ppf(0.975, 3) * fit.stderr
    assert (curve.low, curve.high) == pytest.approx(
        (2 ** (fit.slope - reach), 2 ** (fit.slope + reach))
    )
    assert curve.words() == (
        "From 5 builds: the first took about 120:00 h, and each doubling of the number takes 90 % "
        "of the hours, 89 to 91 % (95 % sure). Builds are about 1 % off the curve."
    )


def shops_told(rate, builds, shops=400):
    """Shops of this rate, their hours written out apart from the module that is judged."""
    rng = np.random.default_rng(4)
    curves = [
        fit_learning(
            [
                (n, 100 * n ** math.log2(rate) * np.exp(rng.normal(0, 0.12)))
                for n in range(1, builds + 1)
            ]
        )
        for _ in range(shops)
    ]
    return curves, sum(curve.is_told for curve in curves) / shops


@pytest.mark.parametrize("builds", [4, 8, 15])
def test_shops_that_learn_nothing_are_hardly_ever_told_that_they_do(builds):
    curves, told = shops_told(1.0, builds)
    assert told <= 0.08
    assert "learning can't be told" in next(one for one in curves if not one.is_told).words()


def test_after_four_builds_the_bare_rate_would_tell_learning_where_there_is_none():
    """The control: chance alone puts the rate of many such shops well under 1."""
    curves, told = shops_told(1.0, 4)
    assert sum(curve.rate < 0.95 for curve in curves) / len(curves) > 0.2 > 2 * told


def test_learning_is_told_once_there_are_builds_enough_and_its_range_holds_it():
    curves, told = shops_told(0.85, 12)
    assert told > 0.9
    assert 0.92 <= sum(one.low <= 0.85 <= one.high for one in curves) / len(curves) <= 0.98


@pytest.mark.parametrize(
    "builds",
    [[], [(1, 100.0), (2, 90.0), (3, 80.0)], [(2, 100.0)] * 5],
    ids=["none", "three", "one number"],
)
def test_too_little_to_go_by_gives_no_curve(builds):
    assert fit_learning(builds) is None


@pytest.mark.parametrize("wrong", [(0, 90.0), (5, 0.0)])
def test_builds_that_cannot_be_are_refused(wrong):
    with pytest.raises(ValueError, match="start at 1, and hours must be above 0"):
        fit_learning([(1, 100.0), (2, 90.0), (3, 80.0), wrong])


def test_a_rate_of_nothing_is_refused():
    with pytest.raises(ValueError, match="must be above 0"):
        unit_factor(0, 2)
