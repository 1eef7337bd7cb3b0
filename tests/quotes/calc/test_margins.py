from decimal import Decimal

import pytest
from hypothesis import given

from inventory.refusals import Refusal
from quotes.calc.margins import (
    margin_between,
    margin_of_markup,
    markup_between,
    markup_of_margin,
    price_at_margin,
    price_at_markup,
    price_per_hour,
)
from tests.quotes.calc.strategies import cents, percents

# Identities: margin = k / (1 + k), k = m / (1 - m); the pairs are computed from them.
PAIRS = [
    ("10", "9.0909"),
    ("25", "20"),
    ("33.3333", "25.0000"),
    ("50", "33.3333"),
    ("100", "50"),
    ("150", "60"),
]


@pytest.mark.parametrize(("markup", "margin"), PAIRS)
def test_a_markup_on_cost_is_a_smaller_margin_on_price(markup, margin):
    assert round(margin_of_markup(Decimal(markup)), 4) == Decimal(margin)


@pytest.mark.parametrize(("markup", "margin"), PAIRS)
def test_a_margin_on_price_is_a_larger_markup_on_cost(markup, margin):
    assert round(markup_of_margin(Decimal(margin)), 2) == round(Decimal(markup), 2)


# Source: OpenStax, Principles of Accounting vol. 2, ch. 9, transfer prices at cost plus 30 %.
@pytest.mark.parametrize(("cost", "price"), [("10", "13.00"), ("12", "15.60")])
def test_prices_at_cost_plus_a_markup(cost, price):
    assert price_at_markup(Decimal(cost), Decimal(30)) == Decimal(price)


def test_the_same_number_as_markup_and_as_margin_makes_two_prices():
    # The cost of a job in OpenStax ch. 4 (MAC001); the prices are computed.
    assert price_at_markup(Decimal(931), Decimal(40)) == Decimal("1303.40")
    assert price_at_margin(Decimal(931), Decimal(40)) == Decimal("1551.67")


def test_markup_and_margin_of_a_sold_job():
    # MAC001: cost 931, sold at 2,000, so 1,069 of gross profit.
    assert round(markup_between(Decimal(931), Decimal(2000)), 2) == Decimal("114.82")
    assert margin_between(Decimal(931), Decimal(2000)) == Decimal("53.45")


def test_margin_of_the_break_even_example():
    # Source: OpenStax ch. 3: price 100, variable cost 20, margin 80 %.
    assert margin_between(Decimal(20), Decimal(100)) == 80


@given(markup=percents(most=300))
def test_turning_a_markup_into_a_margin_and_back_returns_it(markup):
    assert round(markup_of_margin(margin_of_markup(markup)), 12) == markup


@given(cost=cents(least=1), markup=percents(most=300))
def test_a_price_by_markup_is_the_price_by_its_margin(cost, markup):
    by_margin = price_at_margin(cost, margin_of_markup(markup))
    assert abs(price_at_markup(cost, markup) - by_margin) <= Decimal("0.01")


def test_what_a_price_pays_for_each_hour():
    # Walk-through W1: (3,080.00 - 560.80) / 48 h.
    assert price_per_hour(Decimal(3080), Decimal("560.80"), Decimal(48)) == Decimal("52.48") + (
        Decimal("0.16") / 48
    )


@pytest.mark.parametrize(
    ("call", "sentence"),
    [
        (lambda: markup_of_margin(Decimal(100)), "The margin is 100 %"),
        (lambda: price_at_margin(Decimal(1), Decimal(-1)), "The margin is -1 %"),
        (lambda: price_at_markup(Decimal(1), Decimal(-1)), "The markup is -1"),
        (lambda: markup_between(Decimal(0), Decimal(1)), "The cost is 0"),
        (lambda: margin_between(Decimal(1), Decimal(0)), "The price is 0"),
    ],
)
def test_what_has_no_markup_or_margin_is_refused(call, sentence):
    with pytest.raises(Refusal, match=sentence):
        call()
