from decimal import Decimal

import pytest
from hypothesis import given

from inventory.base.refusals import Refusal
from quotes.pricing.calc.margins import margin_of_markup, markup_words, price_per_hour
from tests.quotes.strategies import percents

# Identity: margin = k / (1 + k); the pairs are computed from it.
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


@given(markup=percents(most=300))
def test_cost_and_markup_leave_the_margin_on_their_price(markup):
    price = 100 + markup
    assert abs(price * margin_of_markup(markup) / 100 - markup) < Decimal("1e-20")


def test_a_markup_is_always_told_with_its_margin():
    assert markup_words(Decimal(30)) == "30 % markup, a margin of 23.08 %,"


def test_what_a_price_pays_for_each_hour():
    # Walk-through W1: (3,080.00 - 560.80) / 48 h.
    assert price_per_hour(Decimal(3080), Decimal("560.80"), Decimal(48)) == Decimal("52.48") + (
        Decimal("0.16") / 48
    )


def test_a_markup_below_nothing_is_refused():
    with pytest.raises(Refusal, match="The markup is -1"):
        margin_of_markup(Decimal(-1))
