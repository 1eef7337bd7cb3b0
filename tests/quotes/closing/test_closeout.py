from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given

from inventory.base.refusals import Refusal
from quotes.closing.calc.close_out import (
    Earnings,
    Mishap,
    StageOutcome,
    least_price,
    next_hours,
    three_profits,
    use_contingency,
    with_hours,
    worst_first,
)
from quotes.pricing.calc.basis import PriceBasis, PricingFigures
from quotes.pricing.calc.pricing import build_price
from tests.quotes.solid_electric import STAGES, materials
from tests.quotes.strategies import cents

# The quote of walk-through W1, delivered; hours worked, fees and costs are invented.
EARNINGS = Earnings(
    received=Decimal("3140.00"),
    fees=Decimal("31.40"),
    shipping=Decimal("57.30"),
    materials=Decimal("548.30"),
    outside_work=Decimal("83.00"),
    hours=Decimal("55.00"),
    unbilled_hours=Decimal("5.50"),
    overhead_per_hour=Decimal("13.04"),
)


def test_the_effective_hourly_is_what_is_left_over_all_hours():
    # (3,140 - 31.40 - 57.30 - 548.30 - 83) / 55 = 2,420 / 55
    assert EARNINGS.left == Decimal("2420.00")
    assert EARNINGS.effective_hourly == Decimal("44.00")
    assert EARNINGS.earned_hourly == Decimal("30.96")


def test_unpaid_messages_and_warranty_bring_it_down():
    # 2,420 / 60.5
    assert EARNINGS.effective_hourly_with_unbilled == Decimal("40.00")
    assert EARNINGS.earned_hourly_with_unbilled == Decimal("26.96")


def test_a_build_without_hours_earned_nothing_by_the_hour():
    with pytest.raises(Refusal, match="The number of hours is 0; it must be more than 0"):
        _ = replace(EARNINGS, hours=Decimal(0)).effective_hourly


def test_stages_are_shown_worst_first():
    stages = [
        StageOutcome(name=name, quoted=Decimal(quoted), actual=Decimal(actual))
        for name, quoted, actual in [("Bind", 7, 9), ("Carve", 14, 13), ("Buff", 6, 11)]
    ]
    assert [(stage.name, stage.difference) for stage in worst_first(stages)] == [
        ("Buff", 5),
        ("Bind", 2),
        ("Carve", -1),
    ]


@pytest.mark.parametrize(
    ("builds", "hours"),
    [([], None), (["7", "9"], None), (["7", "9", "30"], "9"), (["7", "8", "9", "30"], "8.5")],
    ids=["none", "two", "three with a cracked back", "four"],
)
def test_hours_are_suggested_from_three_builds_on_by_their_median(builds, hours):
    earlier = tuple(Decimal(each) for each in builds)
    stage = StageOutcome(name="Bind", quoted=Decimal(7), actual=Decimal(0), earlier=earlier)
    assert next_hours(stage).hours == (None if hours is None else Decimal(hours))
    assert next_hours(stage).builds == len(builds)


def test_hours_of_making_again_are_no_hours_of_the_next_one():
    stage = StageOutcome(
        name="Bind",
        quoted=Decimal(7),
        actual=Decimal(15),
        redone=Decimal(6),
        earlier=(Decimal(8), Decimal(7)),
    )
    assert (stage.difference, stage.first) == (8, 9)
    assert next_hours(stage).hours == 8


def test_what_to_charge_next_time_is_the_price_at_the_hours_suggested():
    # 2 h more of finish at 45 and 10 % of it: 3,077.00 + 99.00, up to the next 10.
    basis = with_hours(
        PriceBasis(stages=STAGES, materials=materials()), {"Apply finish": (Decimal(6), "worked")}
    )
    policy = PricingFigures(
        shop_rate=Decimal(45), contingency_percent=Decimal(10), price_step=Decimal(10)
    )
    sheet = build_price(basis, policy)
    assert (sheet.hours, sheet.subtotal, sheet.price) == (50, Decimal("3176.00"), 3180)


def test_the_price_under_which_to_decline():
    # 560.80 + 48 h × 30 = 2,000.80
    price = least_price(Decimal(48), Decimal("560.80"), Decimal(30), step=Decimal(10))
    assert price == 2010


def test_contingency_is_used_by_what_went_wrong():
    use = use_contingency(
        Decimal("216.00"),
        [
            Mishap(name="Cap split", hours=Decimal("2.5"), cost=Decimal("45.00")),
            Mishap(name="Jack hole plugged", hours=Decimal("0.5")),
        ],
        Decimal(45),
    )
    assert [part.amount for part in use.used.parts] == [Decimal("157.50"), Decimal("22.50")]
    assert use.used.parts[0].how == "2.5 h × 45 and 45 of material"
    assert use.left == Decimal("36.00")


def test_old_wood_gains_by_itself():
    # A set bought for 40 that now costs 260: 220 of wood gain (common practice, no source).
    earnings = Earnings(
        received=Decimal(4000),
        materials=Decimal(40),
        hours=Decimal(100),
        overhead_per_hour=Decimal(13),
    )
    profits = three_profits(
        earnings,
        wood_gain=Decimal(260 - 40),
        cash_in=Decimal(4800),
        cash_out=Decimal(0),
    )
    assert (profits.at_cost, profits.at_replacement, profits.wood_gain, profits.cash) == (
        2660,
        2440,
        220,
        4800,
    )


@given(received=cents(), materials_cost=cents(), gain=cents())
def test_the_two_profits_differ_by_the_wood_gain(received, materials_cost, gain):
    earnings = Earnings(received=received, materials=materials_cost, hours=Decimal(50))
    profits = three_profits(earnings, wood_gain=gain, cash_in=received, cash_out=Decimal(0))
    assert profits.at_cost - profits.at_replacement == gain
