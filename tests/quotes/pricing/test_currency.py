from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.base.calc.money import in_home_money
from inventory.base.refusals import Refusal
from quotes.base.calc.figures import CENT, Figure
from quotes.pricing.calc.currency import (
    ClientMoney,
    CurrencyResult,
    Receipt,
    currency_result,
    in_client_money,
)
from quotes.pricing.calc.parts import PartTerm, payment_parts
from quotes.pricing.calc.pricing import build_price
from quotes.pricing.calc.tax import EXPORT
from tests.quotes.pricing.test_pricing import bases, policies, quoted
from tests.quotes.strategies import cents, percents

FOREIGN = ClientMoney(
    currency="EUR",
    rate=Decimal("1.1700"),
    rated_on=date(2027, 3, 2),
    buffer_percent=Decimal(2),
    step=Decimal(5),
)


def test_w1_in_the_clients_money():
    price = in_client_money(quoted(shipping="140", policy={"tax": EXPORT}), FOREIGN)
    assert [(step.key, step.amount) for step in price.net.parts] == [
        ("converted", Decimal("3767.40")),
        ("buffer", Decimal("75.35")),
        ("client-rounding", Decimal("2.25")),
    ]
    assert price.net.parts[2].how == "3,842.75 up to the next 5"
    assert price.net.amount == price.document.gross == 3845
    halves = [PartTerm(name=str(percent), percent=Decimal(percent)) for percent in (30, 30, 40)]
    assert [part.amount for part in payment_parts(price.document.gross, halves)] == [
        Decimal("1153.50"),
        Decimal("1153.50"),
        Decimal("1538.00"),
    ]


def test_instrument_and_shipping_add_up_to_what_was_quoted():
    price = in_client_money(quoted(shipping="140", policy={"tax": EXPORT}), FOREIGN)
    assert [(line.name, line.net) for line in price.document.lines] == [
        ("Instrument", Decimal("3677.83")),
        ("Shipping", Decimal("167.17")),
    ]


def test_a_currency_without_decimals_is_quoted_in_whole_units():
    yen = ClientMoney(
        currency="JPY", rate=Decimal("163.41"), rated_on=date(2027, 3, 2), unit=Decimal(1)
    )
    price = in_client_money(quoted(), yen)
    assert (price.net.amount, price.document.tax) == (513_107, 102_621)


moneys = st.builds(
    ClientMoney,
    currency=st.just("EUR"),
    rate=st.decimals("0.01", 200, places=4),
    rated_on=st.just(date(2027, 3, 2)),
    buffer_percent=percents(most=10),
    step=st.sampled_from(["0", "1", "5"]).map(Decimal),
)


@given(basis=bases, policy=policies, money=moneys)
def test_a_client_never_pays_less_than_the_price_at_the_rate(basis, policy, money):
    sheet = build_price(basis, policy)
    price = in_client_money(sheet, money)
    assert price.net.amount >= price.net.parts[0].amount
    assert sum(line.net for line in price.document.lines) == price.net.amount


def test_receipts_at_their_own_rates_gain_or_lose():
    # 1,153.50 at the quoted 1.17 is 985.90; the bank paid out 1,002.17, 961.25 and 1,325.00.
    receipts = [
        Receipt(received_on=date(2027, month, 5), amount=Decimal(amount), home=Decimal(home))
        for month, amount, home in [
            (3, "1153.50", "1002.17"),
            (6, "1153.50", "961.25"),
            (9, "1538.00", "1325.00"),
        ]
    ]
    result = currency_result(receipts, Decimal("1.17"))
    assert [each.gain for each in result.receipts] == [
        Decimal("16.27"),
        Decimal("-24.65"),
        Decimal("10.47"),
    ]
    assert (result.home, result.at_quoted_rate, result.gain) == (
        Decimal("3288.42"),
        Decimal("3286.33"),
        Decimal("2.09"),
    )


@given(amount=cents(), rate=st.decimals("0.01", 200, places=4))
def test_a_receipt_at_the_quoted_rate_neither_gains_nor_loses(amount, rate):
    receipt = Receipt(
        received_on=date(2027, 3, 5), amount=amount, home=in_home_money(amount, rate, CENT)
    )
    assert currency_result([receipt], rate).gain == 0


def test_a_result_that_is_not_the_sum_of_its_receipts_cannot_exist():
    with pytest.raises(ValueError, match="sum of the receipts"):
        CurrencyResult(receipts=(), home=Decimal(1), at_quoted_rate=Decimal(0), gain=Decimal(1))
    with pytest.raises(ValueError, match="difference of the two"):
        CurrencyResult(receipts=(), home=Decimal(1), at_quoted_rate=Decimal(0), gain=Decimal(0))


@pytest.mark.parametrize(
    ("field", "value"), [("rate", "0"), ("buffer_percent", "-2"), ("step", "0.001")]
)
def test_client_money_that_cannot_be_meant_is_refused(field, value):
    with pytest.raises(Refusal) as refused:
        replace(FOREIGN, **{field: Decimal(value)})
    assert refused.value.field == field


def test_a_clients_price_whose_steps_are_not_its_documents_net_cannot_exist():
    price = in_client_money(quoted(), FOREIGN)
    with pytest.raises(ValueError, match="The steps come to 1, not"):
        replace(price, net=Figure(name="Net", amount=Decimal(1)))


def test_a_dealers_discount_is_taken_off_the_instruments_line():
    # 4,110.00 less 1,027.50, and 60.00 of shipping, doubled.
    sheet = quoted(policy={"dealer_percent": Decimal(25)})
    doubled = ClientMoney(currency="EUR", rate=Decimal(2), rated_on=date(2027, 3, 2))
    assert [line.net for line in in_client_money(sheet, doubled).document.lines] == [
        Decimal("6165.00"),
        Decimal("120.00"),
    ]
