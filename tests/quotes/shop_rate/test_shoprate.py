from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given

from inventory.base.refusals import Refusal
from quotes.shop_rate.calc import (
    OverheadCost,
    ShopYear,
    builds_a_year,
    overhead_rate,
    what_moves_the_rate,
    work_out_rate,
)
from tests.quotes.strategies import cents

# An example workshop: common practice, no source.
YEAR = ShopYear(
    overheads=tuple(
        OverheadCost(name=name, yearly=Decimal(yearly))
        for name, yearly in [
            ("Rent", 5400),
            ("Insurance", 900),
            ("Heat, light, dehumidifying", 1900),
            ("Hand tools, blades, sharpening", 1600),
            ("Machine depreciation", 1500),
            ("Consumables not on jobs", 900),
            ("Phone, web, bookkeeping", 1000),
            ("Fairs, travel, photographs", 800),
            ("Dues and training", 400),
        ]
    ),
    weeks=Decimal(46),
    weekly_hours=Decimal(40),
    billable_percent=Decimal(60),
    wanted_pay=Decimal(30_000),
    margin_percent=Decimal(10),
)


def test_the_rate_of_the_example_workshop():
    rate = work_out_rate(YEAR)
    assert (rate.overhead, rate.working_hours, rate.billable_hours) == (14_400, 1840, 1104)
    assert round(rate.overhead_per_hour, 2) == Decimal("13.04")
    assert round(rate.pay_per_hour, 2) == Decimal("27.17")
    assert round(rate.break_even, 2) == Decimal("40.22")
    assert round(rate.with_profit, 2) == Decimal("44.69")
    assert rate.rate == 45


@pytest.mark.parametrize(("billable", "rate"), [(50, "53.62"), (60, "44.69"), (70, "38.30")])
def test_the_billable_share_moves_the_rate(billable, rate):
    year = replace(YEAR, billable_percent=Decimal(billable))
    assert round(work_out_rate(year).with_profit, 2) == Decimal(rate)


@pytest.mark.parametrize(("hours", "builds"), [("96.5", "11.4"), ("96", "11.5"), ("48", "23.0")])
def test_how_many_builds_a_year_holds(hours, builds):
    assert round(builds_a_year(Decimal(1104), Decimal(hours)), 1) == Decimal(builds)


def test_hours_are_the_strongest_lever():
    levers = what_moves_the_rate(YEAR)
    assert {lever.field for lever in levers[:3]} == {"billable_percent", "weeks", "weekly_hours"}
    assert [lever.swing for lever in levers] == sorted(
        (lever.swing for lever in levers), reverse=True
    )


def test_a_lever_goes_through_todays_rate():
    for lever in what_moves_the_rate(YEAR):
        today = next(point for point in lever.points if not point.change_percent)
        assert today.rate == work_out_rate(YEAR).with_profit


def test_a_point_of_a_lever_is_the_rate_of_that_year():
    pay = next(each for each in what_moves_the_rate(YEAR) if each.field == "wanted_pay")
    tenth = next(point for point in pay.points if point.change_percent == 10)
    assert tenth.value == 33_000
    assert tenth.rate == work_out_rate(replace(YEAR, wanted_pay=Decimal(33_000))).with_profit


def test_a_lever_stops_where_it_can_go_no_further():
    full = replace(YEAR, billable_percent=Decimal(90))
    share = next(each for each in what_moves_the_rate(full) if each.field == "billable_percent")
    assert [point.change_percent for point in share.points] == [-30, -20, -10, 0, 10]


# Source: OpenStax, Principles of Accounting vol. 2, secs 4.4 to 4.6 and 6.1.
@pytest.mark.parametrize(
    ("overhead", "base", "rate"),
    [(250_000, 100_000, "2.50"), (2_500_000, 1_250_000, "2.00")],
    ids=["on labour money", "on machine hours"],
)
def test_overhead_rates_of_the_textbook(overhead, base, rate):
    assert overhead_rate(Decimal(overhead), Decimal(base)) == Decimal(rate)


@given(overhead=cents(), pay=cents(least=1))
def test_the_break_even_rate_earns_the_year_exactly(overhead, pay):
    year = replace(YEAR, overheads=(OverheadCost(name="All", yearly=overhead),), wanted_pay=pay)
    rate = work_out_rate(year)
    assert round(rate.break_even * rate.billable_hours, 6) == overhead + pay
    assert rate.rate >= rate.with_profit >= rate.break_even


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("weeks", "0"),
        ("weeks", "54"),
        ("weekly_hours", "0"),
        ("billable_percent", "0"),
        ("billable_percent", "101"),
        ("wanted_pay", "-1"),
        ("margin_percent", "100"),
        ("rate_step", "-1"),
    ],
)
def test_a_year_that_cannot_be_is_refused(field, value):
    with pytest.raises(Refusal) as refused:
        replace(YEAR, **{field: Decimal(value)})
    assert refused.value.field == field
