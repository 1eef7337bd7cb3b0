from datetime import date, timedelta
from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.wood.calc.seasoning import MassReading, ReadyRule, counted_weighings, ready_verdict

FIRST = date(2027, 3, 9)


def weekly(*grams, days=7):
    return [
        MassReading(FIRST + timedelta(days=days * week), Decimal(mass))
        for week, mass in enumerate(grams)
    ]


@pytest.mark.parametrize(
    ("grams", "ready", "spread"),
    [
        (("868.0", "861.5", "859.8"), False, "0.0094"),
        (("868.0", "861.5", "859.8", "858.9"), True, "0.0030"),
    ],
    ids=["third week", "fourth week"],
)
def test_a_set_is_ready_once_three_masses_lie_close(grams, ready, spread):
    verdict = ready_verdict(weekly(*grams))
    assert verdict.ready is ready
    assert round(verdict.spread, 4) == Decimal(spread)


def test_the_reason_gives_both_figures():
    verdict = ready_verdict(weekly("868.0", "861.5", "859.8", "858.9"))
    assert verdict.reason == (
        "The last 3 masses lie within 0.302 % of the first of them; 0.4 % is asked for."
    )
    assert [weighing.grams for weighing in verdict.counted] == [
        Decimal("861.5"),
        Decimal("859.8"),
        Decimal("858.9"),
    ]


@pytest.mark.parametrize(
    ("grams", "reason"),
    [
        ((), "There are 0 weighings at least 5 days apart; 3 are needed."),
        (("868",), "There is 1 weighing at least 5 days apart; 3 are needed."),
        (("868", "868"), "There are 2 weighings at least 5 days apart; 3 are needed."),
    ],
)
def test_too_few_weighings_are_never_ready(grams, reason):
    verdict = ready_verdict(weekly(*grams))
    assert (verdict.ready, verdict.spread, verdict.reason) == (False, None, reason)


def test_exactly_the_tolerance_is_ready():
    assert ready_verdict(weekly("1000", "998", "996")).ready
    assert not ready_verdict(weekly("1000", "998", "995.9")).ready


def test_gaining_water_is_as_unready_as_losing_it():
    assert not ready_verdict(weekly("860", "862", "864")).ready


def test_three_weighings_on_one_evening_are_one():
    assert not ready_verdict(weekly("860", "860", "860", days=0)).ready


def test_of_two_weighings_on_one_day_the_last_given_counts():
    rule = ReadyRule()
    counted = counted_weighings(
        [MassReading(FIRST, Decimal(9)), MassReading(FIRST, Decimal(8))], rule
    )
    assert [weighing.grams for weighing in counted] == [8]


def test_the_rule_is_the_makers():
    masses = weekly("868.0", "861.5", "859.8")
    assert ready_verdict(masses, ReadyRule(weighings=2, within=Decimal("0.002"))).ready
    assert ready_verdict(masses, ReadyRule(within=Decimal("0.01"))).ready
    assert ready_verdict(weekly("5", "5", "5", days=2), ReadyRule(days_apart=1)).ready


@pytest.mark.parametrize(
    "fields", [{"weighings": 1}, {"within": Decimal(0)}, {"days_apart": -1}], ids=str
)
def test_a_rule_that_proves_nothing_is_an_error(fields):
    with pytest.raises(ValueError, match="ready rule"):
        ReadyRule(**fields)


weighings = st.lists(
    st.builds(
        MassReading,
        st.integers(0, 200).map(lambda day: FIRST + timedelta(days=day)),
        st.integers(1, 2000).map(Decimal),
    ),
    max_size=20,
    unique_by=lambda one: one.on,
)


@given(rows=weighings, order=st.randoms())
def test_the_verdict_does_not_hang_on_the_order_given(rows, order):
    verdict = ready_verdict(rows)
    order.shuffle(rows)
    assert ready_verdict(rows) == verdict


@given(rows=weighings)
def test_counted_weighings_keep_their_distance_and_end_with_the_latest(rows):
    counted = counted_weighings(rows, ReadyRule())
    days = [weighing.on for weighing in counted]
    assert all((b - a).days >= 5 for a, b in pairwise(days))
    assert days[-1:] == sorted(row.on for row in rows)[-1:]
