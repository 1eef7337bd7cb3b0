from dataclasses import replace

import numpy as np
import pytest

from shop.estimates.calc.estimate import estimate_hours
from shop.estimates.calc.records import EstimateRequest
from tests.shop.estimates.simulated_shops import Troubles, simulated_shop
from tests.shop.estimates.two_stages import PLAIN, estimate, past


def stepped(before, after, times, noise=0.1, seed=1):
    """Builds of which the latest take `times` as long as those before them."""
    rng = np.random.default_rng(seed)
    hours = np.exp(rng.normal(0, noise, (before + after, 2)))
    hours[before:] *= times
    return [past(before + after - n, 7 * b, 4 * f) for n, (b, f) in enumerate(hours)]


def test_hours_that_changed_half_way_are_told_with_their_month():
    builds = stepped(6, 6, 0.65)
    found = estimate(builds)
    day = builds[6].started
    assert f" Since about {day:%B %Y} builds take about 3" in found.whose
    assert " % less, as 6 builds show beside 6 earlier ones, which now count as 0" in found.whose
    assert found.total.median == pytest.approx(11 * 0.65, rel=0.08)


def test_builds_before_a_change_count_for_little():
    found = estimate(stepped(6, 6, 0.65))
    weights = {one.build: one.weight for one in found.stages[0].figures}
    assert weights["build 12"] < 0.1
    assert weights["build 1"] > 0.95


def test_a_shop_that_looks_for_no_change_is_told_of_none():
    found = estimate(stepped(6, 6, 0.65), replace(PLAIN, drift_chance=0))
    assert "Since" not in found.whose
    assert min(one.weight for one in found.stages[0].figures) > 0.9


def test_one_odd_build_is_no_change():
    assert "Since" not in estimate(stepped(6, 1, 0.65)).whose


def test_an_option_that_only_late_builds_have_is_no_change():
    before = [past(number) for number in range(20, 40)]
    late = [past(number, 10.5, 6.0, options=frozenset({"inlay"})) for number in range(20)]
    assert "Since" not in estimate([*before, *late]).whose


@pytest.mark.parametrize("known", [5, 10, 20])
def test_change_is_told_in_few_shops_that_never_changed(known):
    assert sum(told(seed, known, Troubles()) for seed in range(60)) <= 2


def test_change_is_told_in_most_shops_that_did():
    assert sum(told(seed, 20, Troubles(changed=0.7)) for seed in range(30)) >= 24


def test_newer_builds_count_more_after_a_change():
    """Loss with drift looked for beside the same estimate without, over simulated shops."""
    with_it, without = (
        np.mean([loss(seed, Troubles(changed=0.7), chance) for seed in range(40)])
        for chance in (0.15, 0.0)
    )
    assert with_it < 0.85 * without


def told(seed, known, troubles):
    template, builds = simulated_shop(seed, known + 1, troubles)
    wanted = EstimateRequest(on=builds[-1].started, number=known + 1)
    return "Since" in estimate_hours(template, builds[:-1], wanted, PLAIN).whose


def loss(seed, troubles, drift_chance):
    template, builds = simulated_shop(seed, 11, troubles)
    wanted = EstimateRequest(on=builds[-1].started, number=11)
    asked = replace(PLAIN, drift_chance=drift_chance)
    total = estimate_hours(template, builds[:-1], wanted, asked).total
    came = sum(builds[-1].hours.values())
    return abs(total.median - came) / came
