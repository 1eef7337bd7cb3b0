import numpy as np
import pytest

from shop.estimates.calc.compared import compare, share_interval
from tests.shop.estimates.two_stages import estimate, past


def test_a_template_that_is_low_throughout_is_put_right_and_told():
    rng = np.random.default_rng(1)
    builds = [
        past(number, 10.5 * np.exp(rng.normal(0, 0.1)), 6.0 * np.exp(rng.normal(0, 0.1)))
        for number in range(4)
    ]
    found = estimate(builds)
    assert found.template_times == pytest.approx(1.45, abs=0.12)
    assert "more than the template says" in found.whose
    assert found.total.median == pytest.approx(16.5, rel=0.08)


def test_one_build_does_not_judge_a_template():
    found = estimate([past(0, 10.5, 6.0)])
    assert found.template_times == 1
    assert "than the template says" not in found.whose


def test_a_template_that_is_too_sure_gets_wider_ranges():
    rng = np.random.default_rng(2)
    wild = [past(n, *(7 * np.exp(rng.normal(0, 0.9, 2)))) for n in range(8)]
    tame = [past(n, 7.0 + 0.01 * n, 4.0 + 0.01 * n) for n in range(8)]
    assert estimate(wild).spread_times > 1.3
    assert estimate(tame).spread_times < 1


def test_one_forgotten_stop_among_ten_builds_counts_for_little():
    usual = [past(number, 10.0 + 0.2 * (number % 5)) for number in range(1, 11)]
    forgot = [past(0, 60.0), *usual]
    with_it, without = (estimate(builds).stages[0] for builds in (forgot, usual))
    assert with_it.hours.median == pytest.approx(without.hours.median, rel=0.05)
    (far,) = [one for one in with_it.figures if one.far_off]
    assert far.hours == 60
    assert far.weight < 0.3


def test_a_slow_build_is_no_forgotten_stop():
    builds = [past(0, 13.0), *(past(number, 10.0 + 0.2 * (number % 5)) for number in range(1, 11))]
    assert not any(one.far_off for one in estimate(builds).stages[0].figures)


def test_a_difference_is_told_where_there_is_one():
    rng = np.random.default_rng(3)
    second = rng.uniform(1, 3, 30)
    assert compare(second * 1.3, second).told
    assert compare(second * 1.3, second).difference > 0


def test_chance_is_told_as_a_difference_in_one_shop_in_twenty():
    rng = np.random.default_rng(4)
    told = [compare(rng.gamma(2, 1, 20), rng.gamma(2, 1, 20)).told for _ in range(300)]
    assert np.mean(told) < 0.08


# Clopper and Pearson's exact interval: 8 of 10 is 0.4439 to 0.9748 (recomputed from the beta).
@pytest.mark.parametrize(
    ("held", "number", "interval"),
    [(8, 10, (0.4439, 0.9748)), (0, 10, (0, 0.3085)), (10, 10, (0.6915, 1))],
)
def test_the_interval_of_a_share_is_exact(held, number, interval):
    assert share_interval(held, number) == pytest.approx(interval, abs=1e-4)
