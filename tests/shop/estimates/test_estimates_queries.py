"""Hours of a build to come, from the books."""

from datetime import date
from decimal import Decimal

import pytest

from inventory.base.refusals import Refusal
from shop.estimates.calc.quoting import hours_at
from shop.estimates.queries.estimates import backtest_from, estimate_for, levels_for
from shop.estimates.queries.past_builds import record_of
from shop.models import TemplateOption
from tests.shop.factories import make_template, make_template_stage
from tests.shop.past_builds import make_past_builds, make_pattern

pytestmark = pytest.mark.django_db
ON = date(2027, 3, 9)


@pytest.fixture
def pattern():
    return make_pattern()


def add_option(template, name="Scroll and points", is_on=False):
    option = TemplateOption.objects.create(template=template, name=name, is_on=is_on)
    return make_template_stage(template, f"{name}: carve", ("40", "55", "70"), option=option)


def test_without_past_builds_the_template_speaks(pattern):
    estimate = estimate_for(pattern, on=ON)
    medians = [round(stage.hours.median, 2) for stage in estimate.stages]
    assert (medians, estimate.few, estimate.past_builds) == ([14, 3, 6], True, 0)


def test_past_builds_move_the_hours(pattern):
    make_past_builds(pattern, 6, hours=(20, 3, 6))
    estimate = estimate_for(pattern, on=ON)
    assert not estimate.few
    assert 17 < estimate.stages[0].hours.median < 21


def test_only_builds_finished_by_the_day_count(pattern):
    make_past_builds(pattern, 6)
    assert estimate_for(pattern, on=date(2020, 5, 1)).past_builds == 2


def test_a_batch_saves_what_the_template_says():
    template = make_template()
    make_template_stage(template, "Spray", ("4", "6.5", "11"), saving_two=Decimal("0.3"))
    alone, both = (estimate_for(template, on=ON, batch=size) for size in (1, 2))
    assert both.stages[0].hours.median == pytest.approx(0.7 * alone.stages[0].hours.median)


def test_the_stages_are_those_of_the_options_that_are_on(pattern):
    scroll = add_option(pattern)
    plain = {stage.key for stage in estimate_for(pattern, on=ON).stages}
    chosen = estimate_for(pattern, on=ON, options=["Scroll and points"]).stages
    assert f"{scroll.pk}" not in plain
    assert {stage.key for stage in chosen} == plain | {f"{scroll.pk}"}


def test_options_that_are_on_as_a_rule_can_be_left_off(pattern):
    add_option(pattern, is_on=True)
    assert len(estimate_for(pattern, on=ON).stages) == 4
    assert len(estimate_for(pattern, on=ON, options=()).stages) == 3


def test_a_template_without_hours_is_refused():
    bare = make_template("Bare")
    make_template_stage(bare, "Photos", ("0", "0", "0"))
    with pytest.raises(Refusal, match="Bare has no stage with likely hours"):
        estimate_for(bare, on=ON)
    with pytest.raises(Refusal, match="Bare has no stage with likely hours"):
        backtest_from(record_of(bare))


@pytest.mark.parametrize("level", ["likely", "mean", "80", "90"])
def test_hours_of_a_quote_add_up_to_the_total_at_that_level(pattern, level):
    make_past_builds(pattern, 5)
    found = levels_for(pattern, on=ON)
    total = round(Decimal(hours_at(estimate_for(pattern, on=ON).total, level)), 1)
    assert list(found.stages) == list(pattern.stages.values_list("pk", flat=True))
    assert sum(one.shared[level] for one in found.stages.values()) == total
    assert found.totals[level] == total


def test_stages_that_are_each_enough_are_more_than_their_total(pattern):
    make_past_builds(pattern, 5)
    found = levels_for(pattern, on=ON)
    for one in found.stages.values():
        assert one.low < one.alone["likely"] < one.alone["80"] < one.alone["90"] == one.high
        assert one.shared["80"] <= one.alone["80"] + Decimal("0.1"), "rounded to add up"
        assert one.past == 5
    assert sum(one.alone["80"] for one in found.stages.values()) > found.totals["80"]


def test_a_stage_that_is_switched_off_has_its_own_figures(pattern):
    scroll = add_option(pattern)
    found = levels_for(pattern, on=ON)
    assert found.stages[scroll.pk].alone["likely"] == Decimal("55.0")
    assert found.stages[scroll.pk].shared == {}
    on = levels_for(pattern, on=ON, options=["Scroll and points"])
    assert on.stages[scroll.pk].shared["likely"] > 50


def test_levels_take_eleven_queries_once_they_are_kept(pattern, django_assert_max_num_queries):
    add_option(pattern)
    make_past_builds(pattern, 3)
    levels_for(pattern, on=ON)
    with django_assert_max_num_queries(11):
        levels_for(pattern, on=ON)


def test_the_back_test_scores_builds_that_had_three_before_them(pattern):
    make_past_builds(pattern, 15)
    found = backtest_from(record_of(pattern))
    assert found.total.count == 12
    assert "mean of past builds" in found.verdict
