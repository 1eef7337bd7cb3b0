from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.base.calc.money import (
    in_home_money,
    is_currency,
    minor_unit_of,
    round_money,
    round_up_to_step,
    share_out,
)
from inventory.base.refusals import Refusal


def cents(most=10_000_000):
    return st.integers(-most, most).map(lambda whole: Decimal(whole) / 100)


# Minor units: ISO 4217 as carried by Babel's CLDR data.
@pytest.mark.parametrize(
    ("currency", "unit"), [("EUR", "0.01"), ("JPY", "1"), ("KWD", "0.001"), ("USD", "0.01")]
)
def test_minor_units_follow_iso_4217(currency, unit):
    assert minor_unit_of(currency) == Decimal(unit)


def test_only_codes_of_iso_4217_are_currencies():
    assert is_currency("EUR")
    assert not is_currency("EURO")


@pytest.mark.parametrize(
    ("amount", "rounded"), [("0.125", "0.13"), ("0.124", "0.12"), ("2.675", "2.68")]
)
def test_a_half_goes_up(amount, rounded):
    assert round_money(Decimal(amount)) == Decimal(rounded)


@pytest.mark.parametrize(
    ("amount", "step", "price"),
    [
        ("3077.00", "10", "3080"),
        ("3080", "10", "3080"),
        ("3842.75", "5", "3845"),
        ("1.5", "0", "1.5"),
    ],
)
def test_a_price_goes_up_to_the_next_step(amount, step, price):
    assert round_up_to_step(Decimal(amount), Decimal(step)) == Decimal(price)


def test_carriage_of_a_delivery_is_shared_by_value():
    # Walk-through W2: 24.00 over 192.00 of spruce and 90.11 of maple.
    shares = share_out(Decimal("24.00"), [Decimal("192.00"), Decimal("90.11")])
    assert shares == [Decimal("16.33"), Decimal("7.67")]


@given(total=cents(), weights=st.lists(st.integers(0, 999), min_size=1).filter(any))
def test_shares_add_up_to_the_whole(total, weights):
    assert sum(share_out(total, weights)) == total


@given(total=cents(), weights=st.lists(st.integers(1, 999), min_size=1))
def test_no_share_is_off_by_more_than_one_unit(total, weights):
    exact = [total * weight / sum(weights) for weight in weights]
    assert all(
        abs(share - true) <= Decimal("0.01")
        for share, true in zip(share_out(total, weights), exact, strict=True)
    )


@pytest.mark.parametrize("weights", [[0, 0], [-1, 2], []], ids=["none", "negative", "empty"])
def test_weights_that_share_nothing_are_refused(weights):
    with pytest.raises(ValueError, match="weight"):
        share_out(Decimal("1.00"), weights)


def test_an_amount_finer_than_the_unit_is_refused():
    with pytest.raises(ValueError, match="whole number"):
        share_out(Decimal("1.005"), [1, 1])


@pytest.mark.parametrize(
    ("amount", "rate", "unit", "home"),
    [
        ("3767.40", "1.17", "0.01", "3220.00"),
        ("1153.50", "1.17", "0.01", "985.90"),
        ("100", "0.0061", "1", "16393"),
        ("1", "0.5", "0.001", "2.000"),
    ],
    ids=["euro", "a part", "no cents at home", "a rate under 1"],
)
def test_foreign_money_is_turned_at_the_typed_rate(amount, rate, unit, home):
    turned = in_home_money(Decimal(amount), Decimal(rate), Decimal(unit))
    assert (turned, turned.as_tuple().exponent) == (
        Decimal(home),
        Decimal(home).as_tuple().exponent,
    )


@pytest.mark.parametrize("rate", ["0", "-1.17", "NaN"])
def test_a_rate_of_nothing_is_refused_beside_its_field(rate):
    with pytest.raises(Refusal, match="exchange rate must be above 0") as refused:
        in_home_money(Decimal(1), Decimal(rate), Decimal("0.01"))
    assert refused.value.field == "rate"
