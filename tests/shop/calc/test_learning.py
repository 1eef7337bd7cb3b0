import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.calc.learning import (
    average_factor,
    average_marginal,
    average_total,
    fit_learning,
    unit_average,
    unit_factor,
    unit_total,
)

# Learning curves at 80 and 90 %, to four decimals. rate; number; unit model: this build, total,
# average; cumulative average model: average, total, this build. The unit factors and totals are
# those of the tables in textbooks of operations management; the rest follows from the formulas.
TABLE = """
0.80 1 1.0 1.0 1.0 1.0 1.0 1.0
0.80 2 0.8 1.8 0.9 0.8 1.6 0.6
0.80 3 0.7021 2.5021 0.834 0.7021 2.1063 0.5063
0.80 4 0.64 3.1421 0.7855 0.64 2.56 0.4537
0.80 5 0.5956 3.7377 0.7475 0.5956 2.9782 0.4182
0.80 6 0.5617 4.2994 0.7166 0.5617 3.3701 0.3919
0.80 7 0.5345 4.8339 0.6906 0.5345 3.7414 0.3713
0.80 8 0.512 5.3459 0.6682 0.512 4.096 0.3546
0.80 9 0.4929 5.8389 0.6488 0.4929 4.4365 0.3405
0.80 10 0.4765 6.3154 0.6315 0.4765 4.7651 0.3286
0.80 11 0.4621 6.7775 0.6161 0.4621 5.0832 0.3181
0.80 12 0.4493 7.2268 0.6022 0.4493 5.3922 0.3089
0.80 13 0.4379 7.6647 0.5896 0.4379 5.6929 0.3007
0.80 14 0.4276 8.0923 0.578 0.4276 5.9863 0.2934
0.80 15 0.4182 8.5105 0.5674 0.4182 6.273 0.2867
0.80 16 0.4096 8.9201 0.5575 0.4096 6.5536 0.2806
0.90 1 1.0 1.0 1.0 1.0 1.0 1.0
0.90 2 0.9 1.9 0.95 0.9 1.8 0.8
0.90 3 0.8462 2.7462 0.9154 0.8462 2.5386 0.7386
0.90 4 0.81 3.5562 0.8891 0.81 3.24 0.7014
0.90 5 0.783 4.3392 0.8678 0.783 3.9149 0.6749
0.90 6 0.7616 5.1008 0.8501 0.7616 4.5695 0.6546
0.90 7 0.7439 5.8447 0.835 0.7439 5.2076 0.6381
0.90 8 0.729 6.5737 0.8217 0.729 5.832 0.6244
0.90 9 0.7161 7.2898 0.81 0.7161 6.4446 0.6126
0.90 10 0.7047 7.9945 0.7994 0.7047 7.0469 0.6023
0.90 11 0.6946 8.689 0.7899 0.6946 7.6401 0.5932
0.90 12 0.6854 9.3745 0.7812 0.6854 8.2251 0.585
0.90 13 0.6771 10.0516 0.7732 0.6771 8.8028 0.5777
0.90 14 0.6696 10.7211 0.7658 0.6696 9.3737 0.5709
0.90 15 0.6626 11.3837 0.7589 0.6626 9.9385 0.5648
0.90 16 0.6561 12.0398 0.7525 0.6561 10.4976 0.5591
"""
ROWS = [[float(figure) for figure in line.split()] for line in TABLE.split("\n") if line]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row[0]:.0%}, number {row[1]:.0f}")
def test_both_models_follow_the_published_table(row):
    rate, number, *figures = row[0], int(row[1]), *row[2:]
    found = [
        model(rate, number)
        for model in (
            unit_factor,
            unit_total,
            unit_average,
            average_factor,
            average_total,
            average_marginal,
        )
    ]
    assert found == pytest.approx(figures, abs=6e-5)


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


def test_a_curve_is_told_in_a_sentence():
    curve = fit_learning([(n, 120 * unit_factor(0.9, n)) for n in (1, 2, 4, 8)])
    assert curve.words() == (
        "From 4 builds: the first took about 120.0 h, and each doubling takes 90 % of the hours; "
        "builds lie about 0 % off the curve."
    )


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
