"""Of thousands of past builds the weightiest are shown, and what is left out is counted."""

from datetime import timedelta
from unittest import mock

import pytest

from shop.estimates.calc.records import PastHours
from shop.estimates.queries import estimates
from shop.estimates.queries.estimates import backtest_from, estimate_from, estimate_with_past
from shop.estimates.queries.past_builds import record_of
from shop.estimates.queries.sheet import WEIGHTIEST, estimate_sheet, weightiest
from shop.estimates.services import leave_out_of_estimates
from shop.models import EstimateSettings
from tests.shop.past_builds import FIRST_DAY, make_past_build, make_past_builds, make_pattern

ON = FIRST_DAY + timedelta(days=4000)


def rows_of(weights):
    return tuple(
        PastHours(build=f"{place}", hours=1, weight=weight, counted=True)
        for place, weight in enumerate(weights)
    )


@pytest.mark.parametrize("count", [0, 1, WEIGHTIEST])
def test_a_few_past_builds_are_all_shown(count):
    rows = rows_of([0.5] * count)
    assert weightiest(rows, WEIGHTIEST) == rows


def test_of_many_the_weightiest_are_shown_in_their_order():
    rows = rows_of([0.1, 0.9] * WEIGHTIEST)
    assert weightiest(rows, WEIGHTIEST) == rows[1::2]


def test_of_equally_heavy_ones_the_latest_are_shown():
    rows = rows_of([0.5] * 50)
    assert weightiest(rows, WEIGHTIEST) == rows[-WEIGHTIEST:]


@pytest.mark.django_db
class TestKeptAnswers:
    @pytest.fixture
    def pattern(self):
        pattern = make_pattern()
        make_past_builds(pattern, WEIGHTIEST + 5)
        return pattern

    @pytest.fixture
    def at_work(self):
        """Count how often an estimate is really worked out."""
        with mock.patch.object(estimates, "estimate_with_past", wraps=estimate_with_past) as made:
            yield made

    def test_a_sheet_says_how_many_it_leaves_out(self, pattern):
        short, whole = (estimate_sheet(record_of(pattern), on=ON, every=e) for e in (False, True))
        assert {(len(row.behind), row.left_out) for row in short.stages} == {(WEIGHTIEST, 5)}
        assert {(len(row.behind), row.left_out) for row in whole.stages} == {(WEIGHTIEST + 5, 0)}
        assert short.builds == whole.builds

    def test_an_answer_is_worked_out_once(self, pattern, at_work):
        first, again = (estimate_from(record_of(pattern), on=ON) for _ in range(2))
        assert first == again
        assert at_work.call_count == 1

    def test_a_kept_answer_is_what_would_be_worked_out_now(self, pattern):
        estimate_from(record_of(pattern), on=ON)
        record = record_of(pattern)
        fresh = estimate_with_past(record, on=ON)
        assert estimate_from(record, on=ON).total == fresh.total
        assert backtest_from(record) == backtest_from(record)

    def one_more_build(pattern):
        make_past_build(pattern, {"Carve top": 40}, serial="late")

    def one_left_out(pattern):
        leave_out_of_estimates(build=pattern.builds.first(), is_set_aside=True)

    def other_hours_of_the_template(pattern):
        pattern.stages.filter(name="Carve top").update(hours_likely=19, hours_high=30)

    def other_settings(pattern):
        EstimateSettings.objects.create(worth=9)

    @pytest.mark.parametrize(
        "change", [one_more_build, one_left_out, other_hours_of_the_template, other_settings]
    )
    def test_whatever_it_goes_by_makes_another_answer(self, pattern, at_work, change):
        before = estimate_from(record_of(pattern), on=ON)
        change(pattern)
        assert estimate_from(record_of(pattern), on=ON) != before
        assert at_work.call_count == 2

    @pytest.mark.parametrize(
        "asked", [{"on": ON + timedelta(days=1)}, {"batch": 2}, {"options": ["Finger rest"]}]
    )
    def test_another_question_has_its_own_answer(self, pattern, at_work, asked):
        estimate_from(record_of(pattern), on=ON)
        estimate_from(record_of(pattern), **{"on": ON} | asked)
        assert at_work.call_count == 2
