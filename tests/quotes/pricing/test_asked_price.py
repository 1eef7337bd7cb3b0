from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from inventory.base.refusals import Refusal
from quotes.pricing.calc.asked_price import ask_price, net_of_asked
from quotes.pricing.calc.basis import OwnLine, PricingFigures
from quotes.pricing.calc.pricing import build_price
from quotes.pricing.calc.tax import TaxableLine, standard
from quotes.pricing.calc.tax_document import tax_document
from tests.quotes.pricing.test_pricing import bases, policies
from tests.quotes.strategies import RATES, cents


@given(basis=bases, policy=policies, wanted=cents(least=1, most=900_000))
def test_any_price_is_reached_to_the_cent(basis, policy, wanted):
    policy = replace(policy, price_step=Decimal(0))
    try:
        asked = ask_price(basis, policy, wanted)
    except Refusal:
        assume(False)  # less than what the fees alone come to
    own = (*basis.own_lines, OwnLine(name="Asked", amount=asked.line))
    last = (OwnLine(name="Last", amount=asked.last_cents),)
    sheet = build_price(replace(basis, own_lines=own, last_cents=last), policy)
    assert sheet.price == wanted
    assert 0 <= asked.last_cents < Decimal("0.10")


@given(basis=bases, policy=policies)
def test_the_price_as_it_is_needs_no_line(basis, policy):
    price = build_price(basis, policy).price
    assume(price > 0)
    asked = ask_price(basis, policy, price)
    assert (asked.line, asked.last_cents) == (0, 0)


LINES = st.builds(TaxableLine, name=st.just("Beside"), net=cents(most=50_000), rate=RATES)


@given(
    gross=cents(least=10, most=900_000),
    percent=st.integers(1, 270).map(lambda tenths: Decimal(tenths) / 10),
    beside=st.lists(LINES, max_size=3),
    at_its_rate=cents(most=50_000),
)
def test_a_gross_price_is_met_to_the_cent_or_the_amounts_next_to_it_are(
    gross, percent, beside, at_its_rate
):
    rate = standard(percent)
    beside = (*beside, TaxableLine(name="Shipping", net=at_its_rate, rate=rate))
    policy = PricingFigures(shop_rate=Decimal(45), tax=rate)
    others = tax_document(beside).gross

    def more(asked):
        net = net_of_asked(asked, policy, beside)
        instrument = TaxableLine(name="Instrument", net=net, rate=rate)
        return tax_document([instrument, *beside]).gross - others

    refused = ""
    try:
        assert more(gross) == gross
    except Refusal as refusal:
        refused = refusal.sentence
    if not refused:
        return
    cent = Decimal("0.01")
    for near in (gross - cent, gross + cent):
        assert f"{near}" in refused
        assert more(near) == near
    least = max(gross / (1 + percent / 100) - 2, Decimal(0)).quantize(cent)
    nets = [least + cent * place for place in range(400)]
    lines = [TaxableLine(name="Instrument", net=net, rate=rate) for net in nets]
    assert gross not in {tax_document([line, *beside]).gross - others for line in lines}


def test_at_20_percent_one_amount_in_six_has_no_net():
    policy = PricingFigures(shop_rate=Decimal(45), tax=standard(Decimal(20)))
    missed = 0
    for place in range(600):
        try:
            net_of_asked(3000 + Decimal(place) / 100, policy, ())
        except Refusal:
            missed += 1
    assert missed == 100


YEN = Decimal(1)
"""The smallest amount of a money without cents."""


def policy_at(percent, **fields):
    return PricingFigures(shop_rate=Decimal(45), tax=standard(Decimal(percent)), **fields)


@pytest.mark.parametrize(("gross", "net"), [("1100", "1000"), ("1101", "1001"), ("4", "4")])
def test_a_gross_price_in_a_money_without_cents_has_a_net_without_them(gross, net):
    assert net_of_asked(Decimal(gross), policy_at("10"), [], YEN) == Decimal(net)


def test_a_gross_price_that_no_net_gives_is_refused_beside_its_field():
    # At 10 % half up, a net of 4 gives 4 and one of 5 gives 6: nothing gives 5.
    with pytest.raises(Refusal) as refused:
        net_of_asked(Decimal(5), policy_at("10"), [], YEN)
    assert refused.value.field == "amount"
    assert refused.value.sentence == "No net price gives 5 gross at 10 %. Use 4 or 6."


def test_what_stands_beside_it_is_rounded_to_the_same_unit():
    beside = [TaxableLine(name="Case", net=Decimal(5), rate=standard(Decimal(10)))]
    # 5 beside is 6 gross; with 4 more the net of 9 is 10 gross: four more, met.
    assert net_of_asked(Decimal(4), policy_at("10"), beside, YEN) == 4


def test_a_multiple_of_a_step_with_tax_is_always_met():
    # At 10 % nothing but the paper's rounding gives 5; as a multiple of the step it is met by it.
    stepped = policy_at("10", step_with_tax=True, price_step=Decimal(5))
    assert net_of_asked(Decimal(5), stepped, [], YEN) == 5
    with pytest.raises(Refusal):
        net_of_asked(Decimal(16), stepped, [], YEN)
