from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.base.refusals import Refusal
from quotes.base.calc.snapshot import as_data, from_data
from quotes.pricing.calc.basis import MaterialLine, PriceBasis, PricingFigures, StageHours
from quotes.pricing.calc.choices import in_choice, options_chosen, price_choice, with_choices
from quotes.pricing.calc.currency import ClientMoney, in_client_money
from quotes.pricing.calc.offer import Offer, OfferedMaterial, OfferedStage, read_parts
from quotes.pricing.calc.parts import payment_parts
from quotes.pricing.calc.pricing import build_price
from quotes.pricing.calc.tax import standard

POLICY = PricingFigures(
    shop_rate=Decimal(45),
    contingency_percent=Decimal(10),
    price_step=Decimal(10),
    tax=standard(Decimal(20)),
)
DOLLARS = ClientMoney(
    currency="USD", rate=Decimal("1.17"), rated_on=date(2027, 3, 2), step=Decimal(5)
)
PARTS = read_parts("30 30 40")
OPTIONS = {"Scroll": ("40", "120"), "Binding": ("3", "18"), "Pickup": ("2.5", "85")}
"""Option → its hours and the cost of its material: figures of the test's own."""


def offer_with(*options, policy=POLICY, money=None, ready=date(2027, 7, 1)):
    stages = [("Body", "48"), *((name, OPTIONS[name][0]) for name in options)]
    basis = PriceBasis(
        stages=tuple(
            StageHours(name=name, hours=Decimal(hours), key=f"stage:{name}")
            for name, hours in stages
        ),
        materials=tuple(
            MaterialLine(
                name=name,
                family="wood",
                quantity="1",
                cost=Decimal(OPTIONS[name][1]),
                markup_percent=Decimal(25),
                key=f"material:{name}",
            )
            for name in options
        ),
    )
    sheet = build_price(basis, policy)
    client_price = in_client_money(sheet, money) if money else None
    return Offer(
        home_currency="EUR",
        currency="USD" if money else "EUR",
        sheet=sheet,
        client_price=client_price,
        parts=payment_parts((client_price or sheet).document.gross, PARTS),
        stages=tuple(offered(name, hours) for name, hours in stages),
        materials=tuple(needed(line) for line in basis.materials),
        allowances=(),
        ready_on=ready,
        ready_because="",
        ready_steps=(),
    )


def offered(name, hours):
    return OfferedStage(
        key=f"stage:{name}",
        name=name,
        hours=Decimal(hours),
        hours_low=Decimal(0),
        hours_high=Decimal(0),
        waiting_days=Decimal(0),
        basis="",
    )


def needed(line):
    return OfferedMaterial(
        key=line.key,
        name=line.name,
        family=line.family,
        quantity="1",
        net=Decimal(1),
        to_draw=Decimal(1),
        cost=line.cost,
        waste=Decimal(0),
        how="",
        warning="",
    )


def choices_beside(on, **shape):
    offer = offer_with(*on, **shape)
    return offer, [
        price_choice(
            name,
            offer,
            offer_with(
                *(option for option in OPTIONS if (option in on) != (option == name)), **shape
            ),
            is_on=name in on,
            is_offered=True,
            days=3,
        )
        for name in OPTIONS
    ]


def test_an_option_is_priced_with_everything_that_hangs_on_it():
    _, (scroll, *_) = choices_beside([])
    # 48 h: 2,160.00 and 216.00 make 2,376.00, up to 2,380. 88 h, 120.00 and 30.00 of markup:
    # 3,960.00 + 396.00 + 150.00 make 4,506.00, up to 4,510.
    assert (scroll.net, scroll.hours) == (Decimal("2130.00"), Decimal(40))
    assert sum(step.amount for step in scroll.steps) == scroll.net


@pytest.mark.parametrize("name", list(OPTIONS))
@pytest.mark.parametrize("on", [[], ["Scroll"], ["Binding", "Pickup"]], ids=str)
@pytest.mark.parametrize("money", [None, DOLLARS], ids=["home", "foreign"])
def test_one_switched_option_comes_out_as_if_quoted_so(name, on, money):
    offer, choices = choices_beside(on, money=money)
    options = {option for option in OPTIONS if (option in on) != (option == name)}
    switched = with_choices(offer, choices, options, PARTS)
    quoted = offer_with(*(option for option in OPTIONS if option in options), money=money)
    assert switched.sheet.net == quoted.sheet.net
    assert switched.sheet.price == quoted.sheet.price
    assert switched.bought == quoted.bought == quoted.sheet.bought
    assert switched.document.gross == quoted.document.gross
    assert switched.sheet.hours == quoted.sheet.hours
    assert {row.key for row in switched.stages} == {row.key for row in quoted.stages}
    assert switched.ready_on == date(2027, 7, 4)


@given(
    on=st.sets(st.sampled_from(list(OPTIONS))),
    wanted=st.sets(st.sampled_from(list(OPTIONS))),
    money=st.sampled_from([None, DOLLARS]),
)
def test_any_choice_is_the_sum_of_its_lines(on, wanted, money):
    offer, choices = choices_beside([name for name in OPTIONS if name in on], money=money)
    chosen = with_choices(offer, choices, wanted, PARTS)
    switched = [choice for choice in choices if (choice.name in wanted) != choice.is_on]
    added = sum(choice.client_net for choice in switched)
    assert chosen.document.net == offer.document.net + added
    assert sum(line.net for line in chosen.document.lines) == chosen.document.lines_total
    assert sum(part.amount for part in chosen.parts) == chosen.document.gross
    assert from_data(Offer, as_data(chosen)) == chosen


@given(
    on=st.sampled_from(list(OPTIONS)),
    wanted=st.sampled_from(list(OPTIONS)),
    money=st.sampled_from([None, DOLLARS]),
)
def test_one_of_a_choice_is_the_base_and_its_difference(on, wanted, money):
    offer = offer_with(on, money=money)
    choices = []
    for name in OPTIONS:
        other = next(each for each in OPTIONS if each != on) if name == on else name
        beside = offer_with(other, money=money)
        priced = price_choice(name, offer, beside, is_on=name == on, is_offered=True, days=3)
        choices.append(in_choice(priced, "Trim"))
    chosen = with_choices(offer, choices, options_chosen([on], choices, [wanted]), PARTS)
    difference = next(choice.client_net for choice in choices if choice.name == wanted)
    assert chosen.document.net == offer.document.net + difference
    assert chosen.document.net == offer_with(wanted, money=money).document.net
    assert sum(part.amount for part in chosen.parts) == chosen.document.gross
    assert {row.key for row in chosen.stages} == {"stage:Body", f"stage:{wanted}"}
    assert from_data(Offer, as_data(chosen)) == chosen


def test_nothing_switched_is_the_very_offer():
    offer, choices = choices_beside(["Scroll"])
    assert with_choices(offer, choices, {"Scroll"}, PARTS) is offer


def test_an_option_taken_out_says_so():
    offer, choices = choices_beside(["Scroll"])
    lines = with_choices(offer, choices, set(), PARTS).document.lines
    assert [(line.name, line.net) for line in lines] == [
        ("Instrument", Decimal("4510.00")),
        ("Without scroll", Decimal("-2130.00")),
    ]


def test_what_is_not_offered_can_not_be_chosen():
    _, choices = choices_beside(["Scroll"])
    fixed = [replace(choice, is_offered=choice.name == "Binding") for choice in choices]
    assert options_chosen(["Scroll"], fixed, ["Binding"]) == ["Scroll", "Binding"]
    assert options_chosen(["Scroll"], fixed, []) == ["Scroll"]
    with pytest.raises(Refusal, match="“Pickup” is not one of the options offered"):
        options_chosen(["Scroll"], fixed, ["Pickup"])
    with pytest.raises(Refusal, match="“Free case”"):
        options_chosen(["Scroll"], fixed, ["Free case"])


def test_a_price_of_nothing_is_refused():
    offer, choices = choices_beside(["Scroll"])
    gift = replace(choices[0], net=Decimal(-9000), client_net=Decimal(-9000), steps=())
    with pytest.raises(Refusal, match="leave nothing to pay"):
        with_choices(offer, [gift], set(), PARTS)
