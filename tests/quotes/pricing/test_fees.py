from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.base.calc.money import round_money
from inventory.base.refusals import Refusal
from quotes.pricing.calc.fees import (
    PaymentFee,
    dealer_discount,
    dealer_hourly,
    fee_on,
    fee_to_add,
    list_price,
)
from tests.quotes.strategies import cents, percents

CARD = PaymentFee(percent=Decimal("2.9"), fixed=Decimal("0.30"))

fees = st.builds(
    PaymentFee, percent=percents(most=19), fixed=cents(most=100), payments=st.integers(1, 4)
)


def test_a_card_fee_is_a_percentage_and_a_fixed_part():
    assert fee_on(Decimal("100.00"), CARD) == Decimal("3.20")


def test_three_part_payments_pay_the_fixed_part_three_times():
    three = PaymentFee(percent=Decimal("2.9"), fixed=Decimal("0.30"), payments=3)
    assert fee_on(Decimal("100.00"), three) == Decimal("3.80")


def test_grossing_up_leaves_the_price():
    # 103.30 × 2.9 % = 2.9957, so 3.00 and 0.30.
    assert fee_to_add(Decimal("100.00"), CARD) == Decimal("3.30")


@given(keep=cents(), fee=fees)
def test_the_price_is_returned_exactly_after_its_fee(keep, fee):
    paid = keep + fee_to_add(keep, fee)
    assert paid - fee_on(paid, fee) == keep


@given(keep=cents(), fee=fees)
def test_no_smaller_amount_would_do(keep, fee):
    less = keep + fee_to_add(keep, fee) - Decimal("0.01")
    assert less - fee_on(less, fee) < keep or less < keep


@given(keep=cents(), fee=fees, tax=percents(most=27), beside=cents())
def test_the_fee_on_tax_and_on_what_is_paid_beside_is_covered_too(keep, fee, tax, beside):
    added = fee_to_add(keep, fee, tax_percent=tax, beside=beside)
    gross = round_money((keep + added) * (100 + tax) / 100) + beside
    assert added == fee_on(gross, fee)


@given(keep=st.integers(0, 1_000_000).map(Decimal), fee=fees)
def test_a_currency_without_decimals_is_grossed_up_to_whole_units(keep, fee):
    paid = keep + fee_to_add(keep, fee, minor_unit=Decimal(1))
    assert paid % 1 == 0
    assert paid - fee_on(paid, fee, minor_unit=Decimal(1)) == keep


@given(keep=cents(), percent=percents(most=89))
def test_a_list_price_leaves_the_price_after_the_dealers_discount(keep, percent):
    listed = list_price(keep, percent)
    assert listed - dealer_discount(listed, percent) == keep


def test_the_rate_to_test_before_a_dealer_is_taken_on():
    # (4,000 × 0.75 - 600) / 80 h; common practice, no source.
    rate = dealer_hourly(Decimal(4000), Decimal(25), materials=Decimal(600), hours=Decimal(80))
    assert rate == Decimal(30)


@pytest.mark.parametrize(
    ("fields", "field"),
    [({"percent": "20"}, "percent"), ({"percent": "-1"}, "percent"), ({"fixed": "-0.10"}, "fixed")],
)
def test_a_fee_that_cannot_be_meant_is_refused(fields, field):
    with pytest.raises(Refusal) as refused:
        PaymentFee(**{name: Decimal(value) for name, value in fields.items()})
    assert refused.value.field == field
