from dataclasses import replace
from decimal import Decimal

from hypothesis import assume, given

from inventory.refusals import Refusal
from quotes.calc.asked_price import ask_price
from quotes.calc.basis import OwnLine
from quotes.calc.pricing import build_price
from tests.quotes.calc.strategies import cents
from tests.quotes.calc.test_pricing import bases, policies


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
