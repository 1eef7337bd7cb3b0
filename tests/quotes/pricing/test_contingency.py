from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.base.refusals import Refusal
from quotes.pricing.calc.contingency import (
    FailureRisk,
    LossLine,
    expect_failures,
    share_of_labour,
    take_what_is_lost,
)
from tests.quotes.strategies import RISKS, cents, percents

# Chances and losses: common practice, no source.
RIB = FailureRisk(
    name="Rib snaps in bending",
    stage="Bend ribs",
    chance_percent=Decimal(10),
    hours=Decimal(3),
    cost=Decimal(25),
)
TOP = FailureRisk(
    name="Carved through the top",
    stage="Carve top",
    chance_percent=Decimal(4),
    hours=Decimal(10),
    cost=Decimal(45),
)


def test_a_failure_costs_its_chance_of_hours_and_material():
    # 10 / 90 × (3 h × 45 + 25) = 17.78
    expected = expect_failures([RIB], Decimal(45))
    assert expected.amount == Decimal("17.78")
    assert round(expected.hours, 4) == Decimal("0.3333")
    assert expected.lines[0].how == ("Bend ribs: one in 10, 3 h × 45 and 25 lost each time")


def test_failures_add_up_as_shown():
    expected = expect_failures([RIB, TOP], Decimal(45))
    assert [line.amount for line in expected.lines] == [Decimal("17.78"), Decimal("20.63")]
    assert expected.amount == Decimal("38.41")


def test_the_spread_of_failures_is_far_wider_than_their_average():
    # Variances p / (1 - p)² × each²: 0.1 / 0.81 × 160² + 0.04 / 0.9216 × 495².
    assert round(expect_failures([RIB, TOP], Decimal(45)).spread, 2) == Decimal("117.45")


def test_what_cannot_fail_costs_nothing():
    sure = FailureRisk(name="Photos", stage="Photos", chance_percent=Decimal(0), hours=Decimal(1))
    expected = expect_failures([sure], Decimal(45))
    assert (expected.amount, expected.hours, expected.spread) == (0, 0, 0)


@given(cost=cents(least=1), rate=percents(most=50))
def test_a_lost_material_costs_what_its_reject_rate_adds(cost, rate):
    # Expected cost with a reject rate r is cost / (1 - r).
    lost = FailureRisk(name="Reject", stage="Thickness", chance_percent=rate, cost=cost)
    with_rejects = cost / (1 - rate / 100)
    added = expect_failures([lost], Decimal(45)).amount
    assert abs(cost + added - with_rejects) <= Decimal("0.005")


def test_a_reject_rate_pays_for_failures_one_after_the_other_as_far_as_it_reaches():
    # 1 / 9 × 45 = 5.00 and 1 / 24 × 45 = 1.88 are lost; the rate pays 6.00 a build.
    lines = {"top": LossLine(cost=Decimal(45), rejected=Decimal(6))}
    first, second = take_what_is_lost([(RIB, ["top"]), (TOP, ["top", "back"])], lines)
    assert (first.cost, round(first.covered, 2)) == (45, 5)
    assert (second.cost, round(second.covered, 2)) == (45, 1)
    line = expect_failures([second], Decimal(45)).lines[0]
    assert line.amount == Decimal("19.63")
    assert line.how.endswith("45 lost each time; less 1 in its reject rate")


@given(
    risks=st.lists(RISKS, max_size=5),
    cost=cents(least=1),
    rejected=cents(least=0),
)
def test_of_a_reject_rate_and_the_failures_of_a_line_the_larger_counts(risks, cost, rejected):
    lines = {"top": LossLine(cost=cost, rejected=rejected)}
    taken = take_what_is_lost([(risk, ["top"]) for risk in risks], lines)
    lost = sum(risk.expected_times * cost for risk in taken)
    counted = rejected + sum(risk.expected_times * risk.cost - risk.covered for risk in taken)
    assert abs(counted - max(rejected, lost)) < Decimal("0.000001")
    assert all(risk.covered >= 0 for risk in taken)


@given(risks=st.lists(RISKS, max_size=5), rate=cents(most=9000))
def test_the_contingency_is_the_sum_of_its_lines(risks, rate):
    expected = expect_failures(risks, rate)
    assert expected.amount == sum(line.amount for line in expected.lines)
    assert expected.spread >= 0


@pytest.mark.parametrize(
    ("percent", "words"),
    [("10", "one in 10"), ("8", "one in 12.5"), ("8.333333333", "one in 12"), ("0", "never")],
)
def test_a_chance_is_told_as_makers_count_it(percent, words):
    risk = FailureRisk(name="X", stage="Y", chance_percent=Decimal(percent))
    assert risk.chance_words == words


@pytest.mark.parametrize(("labour", "percent"), [("2160", "10"), ("0", "0")])
def test_a_contingency_as_a_share_of_labour(labour, percent):
    assert share_of_labour(Decimal(216), Decimal(labour)) == Decimal(percent)


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"chance_percent": "100"}, "chance_percent"),
        ({"chance_percent": "5", "hours": "-1"}, "hours"),
        ({"chance_percent": "5", "cost": "-1"}, "cost"),
    ],
)
def test_a_failure_that_cannot_be_meant_is_refused(fields, field):
    with pytest.raises(Refusal) as refused:
        FailureRisk(name="X", stage="Y", **{name: Decimal(v) for name, v in fields.items()})
    assert refused.value.field == field
