from dataclasses import replace

import numpy as np
import pytest

from shop.estimates.calc.estimate import estimate_hours
from shop.estimates.calc.records import EstimateRequest, StageFigures
from tests.shop.estimates.two_stages import BINDING, PLAIN, TODAY, binding, estimate, past


def test_a_batch_saves_what_the_template_says_until_it_is_measured():
    found = binding([past(number) for number in range(5)], batch=2)
    (effect,) = found.effects
    assert (effect.name, effect.fitted) == ("batch of 2", False)
    assert effect.factor == pytest.approx(0.85)
    assert found.hours.median == pytest.approx(7 * 0.85)


@pytest.mark.parametrize(("batch", "factor"), [(1, 1), (2, 0.85), (4, 0.80), (6, 0.80)])
def test_stated_savings_hold_at_their_batch_and_beyond(batch, factor):
    assert binding([], batch=batch).hours.median == pytest.approx(7 * factor)


def test_a_batch_of_three_saves_between_two_and_four():
    assert 0.80 < binding([], batch=3).hours.median / 7 < 0.85


def test_a_past_batch_is_read_as_the_hours_that_it_would_have_taken_alone():
    alone = replace(PLAIN, template_doubt=1e-9)
    found = binding([past(number, 7 * 0.85, batch=2) for number in range(5)], alone)
    assert found.hours.median == pytest.approx(7)


def test_a_saving_is_measured_once_there_are_builds_on_both_sides():
    alone = [past(number, 8) for number in range(40)]
    pairs = [past(number, 8 * 0.7, batch=2) for number in range(40, 80)]
    two_pairs = binding([*alone, *pairs[:2]], batch=2)
    assert not two_pairs.effects[0].fitted
    measured = binding([*alone, *pairs], batch=2)
    assert measured.effects[0].fitted
    assert measured.effects[0].factor == pytest.approx(0.7, abs=0.02)
    assert measured.hours.median == pytest.approx(8 * 0.7, rel=0.03)


def test_a_saving_that_no_template_states_is_measured_too():
    bare = [StageFigures(key="binding", low=4, likely=7, high=12)]
    alone = [past(number, 7) for number in range(40)]
    pairs = [past(number, 5.6, batch=2) for number in range(40, 80)]
    assert estimate(alone, stages=bare, batch=2).stages[0].effects == ()
    (effect,) = estimate([*alone, *pairs], stages=bare, batch=2).stages[0].effects
    assert effect.factor == pytest.approx(0.8, abs=0.02)


def test_an_option_adds_what_the_template_says_until_it_is_measured():
    bound_neck = replace(BINDING, option_hours={"bound neck": 1.4})
    wanted = EstimateRequest(on=TODAY, options=frozenset({"bound neck"}))
    stated = estimate_hours([bound_neck], [], wanted, PLAIN).stages[0]
    assert stated.hours.median == pytest.approx(8.4)
    builds = [past(number) for number in range(20)]
    builds += [past(number, 10.5, options=wanted.options) for number in range(20, 40)]
    measured = estimate_hours([bound_neck], builds, wanted, PLAIN).stages[0]
    assert measured.effects[0].fitted
    assert measured.hours.median == pytest.approx(10.5, rel=0.03)


def test_an_option_seen_twice_is_left_out():
    builds = [past(number) for number in range(20)]
    builds += [past(number, 10.5, options=frozenset({"scroll"})) for number in (20, 21)]
    assert binding(builds, options=frozenset({"scroll"})).effects == ()


def test_the_first_of_a_pattern_takes_longer_once_that_is_measured():
    numbers = range(1, 31)
    slower = {number: (10 / min(number, 10)) ** 0.16 for number in numbers}
    builds = [past(31 - number, 7 * slower[number], number=number) for number in numbers]
    settled = binding(builds, number=31)
    assert settled.effects == ()
    assert settled.hours.median == pytest.approx(7, rel=0.02)
    (effect,) = binding(builds, number=1).effects
    assert (effect.name, effect.fitted) == ("build no. 1 of this template", True)
    assert effect.factor == pytest.approx(10**0.16, rel=0.1)


def test_learning_is_a_guess_with_its_doubt_while_all_builds_are_early():
    builds = [past(number, 9, number=number) for number in (1, 2, 3)]
    (learning,) = binding(builds, number=4).effects
    assert not learning.fitted
    assert learning.factor == pytest.approx(1, abs=0.1)
    early, settled = (binding([], number=number).hours for number in (1, 10))
    assert early.range_80[1] / early.range_80[0] > settled.range_80[1] / settled.range_80[0]


def test_the_first_build_takes_as_much_more_as_the_maker_says():
    asked = replace(PLAIN, first_more=0.4)
    hours = [binding([], asked, number=number).hours.median for number in (1, 3, 10)]
    assert hours == pytest.approx([7 * 1.4, 7 * 1.4 ** np.emath.logn(10, 10 / 3), 7])
