import json
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given

from quotes.base.calc.snapshot import as_data, from_data
from quotes.pricing.calc.currency import ClientMoney, in_client_money
from quotes.pricing.calc.pricing import PriceSheet, PricingFigures, build_price
from tests.quotes.pricing.test_pricing import bases, policies, quoted


@given(basis=bases, policy=policies)
def test_a_price_sheet_kept_as_json_is_read_back_equal(basis, policy):
    sheet = build_price(basis, policy)
    kept = json.loads(json.dumps(as_data(sheet)))
    assert from_data(PriceSheet, kept) == sheet
    assert as_data(from_data(PriceSheet, kept)) == kept


@given(policy=policies)
def test_a_policy_kept_as_json_is_read_back_equal(policy):
    assert from_data(PricingFigures, json.loads(json.dumps(as_data(policy)))) == policy


def test_days_and_nested_values_are_read_back():
    money = ClientMoney(currency="EUR", rate=Decimal("1.17"), rated_on=date(2027, 3, 2))
    price = in_client_money(quoted(), money)
    assert from_data(type(price), as_data(price)) == price


def test_a_kept_sheet_that_was_tampered_with_is_not_read_back():
    kept = as_data(quoted())
    kept["document"]["tax"] = "0.00"
    with pytest.raises(ValueError, match="BR-CO-14"):
        from_data(PriceSheet, kept)


def test_a_missing_field_is_named():
    kept = as_data(quoted())
    del kept["rounding"]
    with pytest.raises(KeyError, match="rounding"):
        from_data(PriceSheet, kept)


def test_a_float_is_not_kept():
    @dataclass(frozen=True)
    class Loose:
        price: float

    with pytest.raises(TypeError, match=r"1\.5 can't be kept exactly"):
        as_data(Loose(1.5))
