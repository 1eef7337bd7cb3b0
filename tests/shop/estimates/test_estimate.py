from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from shop.estimates.calc.assumptions import Assumptions
from shop.estimates.calc.estimate import estimate_hours
from shop.estimates.calc.records import EstimateRequest, StageFigures
from tests.shop.estimates.shops import Truth, make_shop
from tests.shop.estimates.two_stages import (
    BINDING,
    PLAIN,
    TODAY,
    binding,
    estimate,
    past,
)

# Whose figures these are


def test_without_past_builds_the_template_stands_and_is_named():
    found = estimate([])
    assert found.stages[0].hours.median == pytest.approx(7)
    low, high = found.stages[0].hours.range_80
    assert high / low == pytest.approx(12 / 4)
    assert (found.past_builds, found.few) == (0, True)
    assert found.whose == ("No past builds yet: these are the template's own figures.")


@pytest.mark.parametrize(
    ("count", "few", "words"),
    [
        (1, True, "Only one past build so far: these are mostly the template's own"),
        (2, True, "Only 2 past builds so far: these are mostly the template's own figures"),
        (3, False, "From 3 past builds; the template's own figures count as 2 builds"),
    ],
)
def test_under_three_past_builds_the_estimate_says_so(count, few, words):
    found = estimate([past(number) for number in range(count)])
    assert (found.past_builds, found.few) == (count, few)
    assert found.whose.startswith(words)


# The update


def test_hours_are_learned_as_the_conjugate_update_says():
    # The long way, with scipy's Student t: four builds, the template worth two.
    hours = [8.0, 9.5, 7.5, 10.0]
    logs = np.log(hours)
    shape, worth, count = 3, 2, 4
    spread = np.log(12 / 4) / (2 * stats.t.ppf(0.9, 2 * shape))
    rate = spread**2 * shape * worth / (worth + 1)
    centre = (worth * np.log(7) + logs.sum()) / (worth + count)
    rate += ((logs - logs.mean()) ** 2).sum() / 2
    rate += count * worth * (logs.mean() - np.log(7)) ** 2 / (2 * (worth + count))
    scale = np.sqrt(rate / (shape + count / 2) * (1 + 1 / (worth + count)))
    truth = stats.t(2 * shape + count, centre, scale)

    # A template that is not put right as a whole: the textbook's update and nothing else.
    alone = replace(PLAIN, template_doubt=1e-9, pooled_worth=1e12, drift_chance=0)
    found = binding([past(number, one) for number, one in enumerate(hours)], alone)
    assert (found.centre, found.scale) == pytest.approx((centre, scale))
    assert found.hours.median == pytest.approx(np.exp(centre))
    assert found.hours.enough_80 == pytest.approx(np.exp(truth.ppf(0.8)))
    assert found.hours.enough_90 == pytest.approx(np.exp(truth.ppf(0.9)))
    assert found.hours.range_50 == pytest.approx(tuple(np.exp(truth.ppf([0.25, 0.75]))))
    assert found.hours.range_80 == pytest.approx(tuple(np.exp(truth.ppf([0.1, 0.9]))))
    assert found.hours.range_90 == pytest.approx(tuple(np.exp(truth.ppf([0.05, 0.95]))))
    assert found.hours.mean == pytest.approx(np.exp(centre + truth.var() / 2))


def test_many_past_builds_outweigh_the_template():
    found = binding([past(number, 14) for number in range(200)])
    assert found.hours.median == pytest.approx(14, rel=0.02)


def test_a_template_worth_more_gives_way_more_slowly():
    builds = [past(number, 14) for number in range(4)]
    easy, stubborn = (
        binding(builds, replace(PLAIN, worth=worth)).hours.median for worth in (1, 20)
    )
    assert 7 < stubborn < easy < 14


# What counts, and how much


def test_what_is_set_aside_is_listed_but_not_counted():
    cracked = past(3, 40, set_aside=True)
    builds = [past(number, 7.5) for number in range(3)]
    found = estimate([*builds, cracked])
    without = estimate(builds)
    assert found.stages[0].hours == without.stages[0].hours
    assert found.past_builds == 3
    listed = {figure.build: figure for figure in found.stages[0].figures}
    assert (listed["build 3"].hours, listed["build 3"].counted) == (40, False)
    assert listed["build 3"].weight == 0
    assert listed["build 0"].weight == 1


def test_one_stage_of_a_build_may_be_set_aside():
    cracked = past(3, 40, 9, stages_set_aside=frozenset({"binding"}))
    found = estimate([past(0), past(1), cracked])
    assert [stage.past for stage in found.stages] == [2, 3]


def test_hours_that_were_not_recorded_do_not_count():
    found = estimate([past(0), past(1, hours={"binding": 0, "frets": 4.0})])
    assert [stage.past for stage in found.stages] == [1, 2]
    assert [figure.build for figure in found.stages[0].figures] == ["build 0"]


def test_a_build_of_half_weight_counts_as_half_a_build():
    half = [past(number, 14, weight=0.5, related=True) for number in range(4)]
    whole = [past(number, 14) for number in range(2)]
    found = binding(half, replace(PLAIN, drift_chance=0))
    assert found.past_weight == pytest.approx(2)
    assert (found.centre, found.scale) == pytest.approx(
        (binding(whole).centre, binding(whole).scale)
    )
    assert estimate(half).past_builds == 0


def test_a_larger_related_instrument_is_brought_to_size():
    # TRADE 2A: an octave mandolin takes 1.2 times the hours.
    octave = [past(number, 12, 4.8, weight=0.5, related=True, factor=1.2) for number in range(4)]
    same = [past(number, 10, weight=0.5, related=True) for number in range(4)]
    assert binding(octave).centre == pytest.approx(binding(same).centre)


def test_a_build_counts_half_after_its_half_life():
    finished = TODAY - timedelta(days=round(6 * 365.25))
    found = binding([past(0, 14, finished=finished)], replace(PLAIN, half_life_years=6))
    assert found.past_weight == pytest.approx(0.5, abs=1e-3)
    assert found.figures[0].weight == pytest.approx(0.5, abs=1e-3)


def test_builds_finished_after_the_day_asked_about_are_unknown():
    later = past(0, 14, finished=TODAY + timedelta(days=1))
    found = estimate([later])
    assert found.stages[0].hours.median == pytest.approx(7)
    assert found.past_builds == 0
    assert found.stages[0].figures == ()


# The total


def test_the_total_of_a_sure_template_is_the_sum_of_its_stages():
    found = estimate([])
    assert found.total.mean == pytest.approx(sum(stage.hours.mean for stage in found.stages))
    assert 11 < found.total.median < 11.6


def test_slow_builds_slow_throughout_make_the_total_wider():
    stages, builds = make_shop(2, 60, Truth(common_share=0.0))
    _, together = make_shop(2, 60, Truth(common_share=0.7))
    on = date(2004, 1, 1)
    apart = estimate_hours(stages, builds, EstimateRequest(on=on), PLAIN)
    joined = estimate_hours(stages, together, EstimateRequest(on=on), PLAIN)
    assert apart.common_share < 0.15
    assert joined.common_share == pytest.approx(0.7, abs=0.15)
    assert width(joined.total) > 2 * width(apart.total)


def width(hours):
    low, high = hours.range_80
    return (high - low) / hours.median


def test_without_a_common_share_the_total_is_the_sum_of_independent_stages():
    # Two stages known well enough to be nearly normal: variances add.
    sure = [StageFigures(key=key, low=10 * 0.95, likely=10, high=10 * 1.05) for key in ("a", "b")]
    found = estimate([], replace(PLAIN, common_share=0, draws=20_000), stages=sure)
    stage = found.stages[0].hours
    narrower = (found.total.range_80[1] - found.total.median) / (
        2 * (stage.range_80[1] - stage.median)
    )
    assert narrower == pytest.approx(1 / np.sqrt(2), abs=0.02)


def test_the_same_seed_gives_the_same_total():
    first, again = estimate([past(0)]), estimate([past(0)])
    other = estimate([past(0)], replace(PLAIN, seed=2))
    assert first == again
    assert first.total.median != other.total.median
    assert first.total.median == pytest.approx(other.total.median, rel=0.01)


# Laws and refusals

hours_worked = st.floats(0.25, 60)
builds_made = st.lists(
    st.builds(
        past,
        st.integers(1, 60),
        hours_worked,
        hours_worked,
        batch=st.sampled_from([1, 2, 4]),
        number=st.integers(1, 20) | st.none(),
        set_aside=st.booleans(),
        weight=st.floats(0.1, 1),
    ),
    max_size=12,
)


@settings(max_examples=60)
@given(builds_made, st.sampled_from([1, 2, 3, 4]))
def test_every_range_is_in_order_and_above_nothing(builds, batch):
    found = estimate(builds, Assumptions(draws=200), batch=batch)
    for hours in (*(stage.hours for stage in found.stages), found.total):
        figures = [
            hours.range_90[0],
            hours.range_80[0],
            hours.range_50[0],
            hours.median,
            hours.range_50[1],
            hours.enough_80,
            hours.enough_90,
            hours.range_90[1],
        ]
        assert figures == sorted(figures)
        assert figures[0] > 0
        assert hours.enough_90 == hours.range_80[1]


@settings(max_examples=30)
@given(builds_made)
def test_the_order_in_which_builds_are_given_does_not_matter(builds):
    different = list({build.key: build for build in builds}.values())
    assert estimate(different) == estimate(different[::-1])


@pytest.mark.parametrize(
    ("stages", "sentence"),
    [([], "at least one stage"), ([BINDING, BINDING], "binding is listed twice")],
)
def test_stages_that_make_no_estimate_are_refused(stages, sentence):
    with pytest.raises(ValueError, match=sentence):
        estimate([], stages=stages)


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"started": TODAY}, "done before it was started"),
        ({"batch": 0}, "start at 1"),
        ({"number": 0}, "start at 1"),
        ({"weight": 0}, "above 0"),
        ({"factor": 0}, "above 0"),
    ],
)
def test_past_builds_that_cannot_be_are_refused(fields, sentence):
    with pytest.raises(ValueError, match=f"build 1: .*{sentence}"):
        replace(past(1), **fields)
