from datetime import date, timedelta
from decimal import Decimal
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.wood.calc.seasoning import (
    MassReading,
    Moisture,
    ReadyRule,
    Wood,
    counted_weighings,
    ready_verdict,
)
from tests.inventory.wood.simulated_boards import (
    KINDS,
    RESTING,
    exponential_board,
    slab_board,
)

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
    assert verdict.reason.startswith(
        "The last 3 weighings agree within 0.302 %; the rule asks for 0.4 %. In "
    )
    assert "of 100 curves through its 4 weighings it is within 1 point of the 8.5 %" in (
        verdict.reason
    )
    assert [weighing.grams for weighing in verdict.counted] == [
        Decimal("861.5"),
        Decimal("859.8"),
        Decimal("858.9"),
    ]


@pytest.mark.parametrize(
    ("grams", "reason"),
    [
        ((), "0 weighings at least 5 days apart so far; 3 are needed."),
        (("868",), "1 weighing at least 5 days apart so far; 3 are needed."),
        (("868", "868"), "2 weighings at least 5 days apart so far; 3 are needed."),
    ],
)
def test_too_few_weighings_are_never_ready(grams, reason):
    verdict = ready_verdict(weekly(*grams))
    assert (verdict.ready, verdict.spread, verdict.reason) == (False, None, reason)


def test_exactly_the_tolerance_is_slow_enough():
    assert "Measure its moisture" in ready_verdict(weekly("1000", "998", "996")).reason
    assert "Measure" not in ready_verdict(weekly("1000", "998", "995.9")).reason


def test_thick_wood_has_to_be_slower():
    thick = Wood(thickness_mm=Decimal(80))
    assert ReadyRule().within_for(Decimal(80)) == Decimal("0.001")
    verdict = ready_verdict(weekly("1000", "998", "996"), wood=thick)
    assert verdict.reason.endswith("the rule asks for 0.1 %.")


def test_steady_loss_is_not_ready_however_slow():
    rows = weekly("6000", "5998", "5996", "5994", "5992", "5990")
    verdict = ready_verdict(rows, wood=Wood(thickness_mm=Decimal(70)))
    assert not verdict.ready
    assert verdict.chance < 0.5


@pytest.mark.parametrize(("percent", "ready"), [("8.4", True), ("12", False), ("5", False)])
def test_an_oven_dried_sample_settles_it(percent, ready):
    rows = weekly("6000", "5998", "5996", "5994", "5992", "5990")
    sample = Moisture(on=rows[-1].on, percent=Decimal(percent), by_oven=True)
    wood = Wood(thickness_mm=Decimal(70), moistures=(sample,))
    assert ready_verdict(rows, wood=wood).ready is ready


@pytest.mark.parametrize("make", [slab_board, exponential_board])
@pytest.mark.parametrize("kind", KINDS)
def test_what_is_called_ready_is_within_a_point_of_rest(make, kind):
    left = [
        points for seed in range(8) if (points := left_when_ready(make(kind, seed))) is not None
    ]
    assert len(left) >= 4
    assert sum(points <= 1 for points in left) >= 0.9 * len(left) - 1


def test_slow_alone_would_call_billets_ready_far_from_rest():
    """The rule without nearness, as a control that these boards tell the two apart."""
    left = [left_when_slow(slab_board("billet", seed)) for seed in range(8)]
    assert sum(points > 1 for points in left) >= 6


def left_when_ready(board):
    wood = Wood(thickness_mm=Decimal(round(board.thickness)), resting=Decimal(str(RESTING)))
    for count in range(3, min(len(board.weighings), 60)):
        if ready_verdict(board.weighings[:count], wood=wood).ready:
            return abs(board.points_left[board.days[count - 1]])
    return None


def left_when_slow(board):
    masses = [float(one.grams) for one in board.weighings]
    for count in range(3, len(masses)):
        first, *rest = masses[count - 3 : count]
        if all(abs(mass / first - 1) <= 0.004 for mass in rest):
            return abs(board.points_left[board.days[count - 1]])
    raise AssertionError("never slow")


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
    loose = Wood(air_swing=Decimal("0.1"), thickness_mm=Decimal(10))
    near = Decimal(5)
    rule = ReadyRule(weighings=2, within=Decimal("0.002"), near=near)
    assert ready_verdict(masses, rule, loose).ready
    assert ready_verdict(masses, ReadyRule(within=Decimal("0.01"), near=near), loose).ready
    assert not ready_verdict(masses, ReadyRule(within=Decimal("0.01"), near=Decimal("0.1"))).ready
    still = weekly("5", "5", "5", days=2)
    assert ready_verdict(still, ReadyRule(days_apart=1, near=near), loose).spread == 0


@pytest.mark.parametrize(
    "fields",
    [{"weighings": 1}, {"within": Decimal(0)}, {"days_apart": -1}, {"near": Decimal(0)}],
    ids=str,
)
def test_a_rule_that_proves_nothing_is_an_error(fields):
    with pytest.raises(ValueError, match="The rule needs"):
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


@settings(max_examples=30, deadline=None)
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
