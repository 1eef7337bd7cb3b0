"""An instrument's share in the money of its order."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest

from quotes.closing.calc.sheet import MoneyIn
from quotes.closing.queries.order_share import OrderShare

ANY = None


def shares(*weights, unit="0.01"):
    first = OrderShare(
        order=ANY,
        offer=ANY,
        own=ANY,
        changes=(),
        weights=[Decimal(weight) for weight in weights],
        place=0,
        unit=Decimal(unit),
    )
    return [replace(first, place=place) for place in range(len(weights))]


@pytest.mark.parametrize("stored", ["100", "100.00", "100.000"])
def test_shares_are_whole_cents_however_the_amount_is_stored(stored):
    """100.00 in three: running 33.33, 66.67, 100.00, so 33.33, 33.34, 33.33."""
    parts = [share.of(Decimal(stored)) for share in shares(1, 1, 1)]
    assert parts == [Decimal("33.33"), Decimal("33.34"), Decimal("33.33")]


def test_shares_of_yen_are_whole_yen():
    """1,000 in three: running 333, 667, 1,000."""
    parts = [share.of(Decimal("1000.000")) for share in shares(1, 1, 1, unit="1")]
    assert parts == [333, 334, 333]


def test_a_receipt_in_yen_is_cut_in_yen_and_its_home_money_in_cents():
    """1,001 JPY in two, halves up: 501 and 500; 6.25 at home: 3.13 and 3.12."""
    row = MoneyIn(
        received_on=date(2026, 3, 2),
        number="R-1",
        currency="JPY",
        amount=Decimal("1001.000"),
        home=Decimal("6.250"),
        fee=Decimal(0),
        gain=Decimal(0),
    )
    parts = [share.of_receipt(row) for share in shares(1, 1)]
    assert [part.amount for part in parts] == [501, 500]
    assert [part.home for part in parts] == [Decimal("3.13"), Decimal("3.12")]


def test_without_prices_the_first_instrument_has_all_and_the_shares_are_still_the_amount():
    assert [share.of(Decimal(90)) for share in shares(0, 0)] == [90, 0]
