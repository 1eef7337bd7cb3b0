import numpy as np
import pytest

from shop.estimates.calc.assumptions import Assumptions
from shop.estimates.calc.estimate import draw_hours, estimate_hours
from shop.estimates.calc.records import EstimateRequest, StageFigures
from tests.shop.estimates.simulated_shops import Troubles, simulated_shop
from tests.shop.estimates.two_stages import PLAIN, STAGES, TODAY, past

ALWAYS = StageFigures(key="binding", low=8, likely=10, high=12)
RARELY = StageFigures(key="frets", low=5, likely=6, high=7)


def found(builds, stages=(ALWAYS, RARELY)):
    return estimate_hours(stages, builds, EstimateRequest(on=TODAY), PLAIN)


def test_a_stage_met_in_two_of_ten_builds_hardly_moves_the_middle_of_the_total():
    builds = [past(number, 10.0, 6.0 if number in (3, 7) else 0.0) for number in range(10)]
    estimate = found(builds)
    assert estimate.stages[1].chance == pytest.approx(2.8 / 11)
    assert estimate.stages[1].hours.median == pytest.approx(6, rel=0.05)
    assert estimate.total.median == pytest.approx(10.3, abs=0.5)
    assert estimate.total.enough_90 > 15


def test_a_stage_that_nobody_skipped_is_certain():
    assert [one.chance for one in found([past(0), past(1)], STAGES).stages] == [1, 1]


def test_what_was_set_aside_or_needs_an_option_was_not_skipped():
    aside = [past(number, 10.0, 0.0, stages_set_aside=frozenset({"frets"})) for number in range(4)]
    assert found(aside).stages[1].chance == 1
    inlay = StageFigures(key="frets", low=5, likely=6, high=7, option="inlay")
    plain = [past(number, 10.0, 0.0) for number in range(4)]
    assert found(plain, (ALWAYS, inlay)).stages[1].chance == 1
    assert found(plain).stages[1].chance < 0.2


def test_a_build_of_which_little_was_recorded_tells_of_no_skipping():
    assert found([past(number, 0.0, 6.0) for number in range(4)]).stages[0].chance == 1


def test_joint_draws_are_those_of_the_total():
    builds = [past(number, 10.0, 6.0 if number % 2 else 0.0) for number in range(10)]
    wanted = EstimateRequest(on=TODAY)
    drawn = draw_hours((ALWAYS, RARELY), builds, wanted, PLAIN, draws=4000)
    assert drawn.shape == (2, 4000)
    chance = found(builds).stages[1].chance
    assert (drawn[1] > 0).mean() == pytest.approx(chance, abs=0.02)
    assert np.median(drawn.sum(axis=0)) == pytest.approx(found(builds).total.median, rel=0.05)
    again = draw_hours((ALWAYS, RARELY), builds, wanted, PLAIN, draws=4000, seed=9)
    assert not np.array_equal(drawn, again)


@pytest.mark.parametrize(
    ("troubles", "known"),
    [
        (Troubles(), 6),
        (Troubles(skipped=0.2), 11),
        (Troubles(skipped=0.5), 11),
        (Troubles(low=1.5), 3),
        (Troubles(sure=2.5), 6),
        (Troubles(curve=0.85), 6),
    ],
    ids=["plain", "met in a fifth", "met in half", "a third low", "too sure", "learning"],
)
def test_the_range_of_a_total_holds_in_simulated_shops(troubles, known):
    quick = Assumptions(draws=1000)
    held = []
    for seed in range(60):
        template, builds = simulated_shop(seed, known + 1, troubles)
        last = builds[-1]
        wanted = EstimateRequest(on=last.started, number=known + 1)
        low, high = estimate_hours(template, builds[:-1], wanted, quick).total.range_80
        held.append(low <= sum(last.hours.values()) <= high)
    assert 0.68 <= np.mean(held) <= 0.95
