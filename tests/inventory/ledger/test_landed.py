from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.base.refusals import Refusal
from inventory.ledger.calc.landed import (
    ApportionBy,
    Charge,
    DeliveredLine,
    LandedLine,
    land,
    respread_after_return,
    split_cost,
)


def money(*texts):
    return [Decimal(text) for text in texts]


def line(key, price, **fields):
    return DeliveredLine(key=key, price=Decimal(price), **fields)


def cents(least=0, most=10_000_000):
    return st.integers(least, most).map(lambda whole: Decimal(whole) / 100)


def test_carriage_by_value_of_the_turnip_hollow_delivery():
    spruce, maple = land(
        [line("spruce", "192.00"), line("maple", "90.11")],
        [Charge(words="carriage", amount=Decimal("24.00"))],
    )
    assert spruce.shares == (("carriage", Decimal("16.33")),)
    assert [spruce.cost, maple.cost] == money("208.33", "97.78")


# A published study-forum example of an accounting body: 750 of carriage over 7250 of goods;
# it prints landed units 55.172 and 82.758. The second: 230 of other costs, landed 1840 and 460.
@pytest.mark.parametrize(
    ("prices", "charge", "shares"),
    [
        (("1000", "2250", "4000"), "750", ("103.45", "232.76", "413.79")),
        (("400", "100"), "230", ("184.00", "46.00")),
    ],
    ids=["carriage in", "other costs"],
)
def test_published_examples_by_value(prices, charge, shares):
    lines = [line(str(number), price) for number, price in enumerate(prices)]
    landed = land(lines, [Charge(words="costs", amount=Decimal(charge))])
    assert [one.shares[0][1] for one in landed] == money(*shares)


@pytest.mark.parametrize(
    ("by", "shares"),
    [
        (ApportionBy.VALUE, ("10.00", "20.00")),
        (ApportionBy.MASS, ("25.00", "5.00")),
        (ApportionBy.COUNT, ("6.00", "24.00")),
    ],
    ids=str,
)
def test_a_charge_follows_value_mass_or_count(by, shares):
    lines = [
        line("board", "50.00", count=Decimal(1), mass=Decimal(10_000)),
        line("tuners", "100.00", count=Decimal(4), mass=Decimal(2_000)),
    ]
    landed = land(lines, [Charge(words="carriage", amount=Decimal("30.00"), by=by)])
    assert [one.shares[0][1] for one in landed] == money(*shares)


def test_duty_falls_only_on_the_lines_named():
    landed = land(
        [line("a", "10.00"), line("b", "10.00")],
        [Charge(words="duty", amount=Decimal("3.00"), only=frozenset({"b"}))],
    )
    assert [one.cost for one in landed] == money("10.00", "13.00")


def test_tax_that_can_be_reclaimed_is_no_cost():
    tax = Charge(words="tax", amount=Decimal("2.00"), reclaimable=True)
    assert land([line("a", "10.00")], [tax]) == (
        LandedLine(key="a", price=Decimal("10.00"), shares=()),
    )


def test_a_discount_comes_off():
    landed = land(
        [line("a", "30.00"), line("b", "10.00")],
        [Charge(words="discount", amount=Decimal("-4.00"))],
    )
    assert [one.cost for one in landed] == money("27.00", "9.00")


def test_sharing_by_mass_needs_every_mass():
    with pytest.raises(Refusal, match="line a has none") as refused:
        land(
            [line("a", "1.00")], [Charge(words="carriage", amount=Decimal(1), by=ApportionBy.MASS)]
        )
    assert refused.value.field == "by"


def test_a_charge_on_worthless_lines_is_refused():
    with pytest.raises(Refusal, match="carriage can't be shared by value"):
        land([line("gift", "0.00")], [Charge(words="carriage", amount=Decimal(5))])


def test_six_pieces_share_their_line_to_the_cent():
    assert split_cost(Decimal("208.33"), 6) == money(
        "34.72", "34.72", "34.73", "34.72", "34.72", "34.72"
    )


def test_carriage_of_a_piece_that_went_back_falls_on_those_kept():
    spread = respread_after_return(Decimal("208.33"), Decimal("32.00"), 5)
    assert list(spread.costs) == money("35.27", "35.26", "35.27", "35.26", "35.27")
    assert spread.loss == 0


def test_carriage_is_a_loss_when_no_piece_is_kept():
    spread = respread_after_return(Decimal("34.72"), Decimal("32.00"), 0)
    assert (spread.costs, spread.loss) == ((), Decimal("2.72"))


def test_carriage_is_shared_in_whole_units_of_a_money_without_cents():
    lines = [line("a", "1000"), line("b", "1000"), line("c", "1000")]
    landed = land(lines, [Charge(words="carriage", amount=Decimal(100))], Decimal(1))
    assert [one.shares[0][1] for one in landed] == [33, 34, 33]


@pytest.mark.parametrize("by", list(ApportionBy))
def test_a_charge_that_nothing_bears_is_refused_beside_what_shares_it(by):
    lines = [line("a", "0", count=Decimal(0), mass=Decimal(0))]
    with pytest.raises(Refusal, match="by something else") as refused:
        land(lines, [Charge(words="carriage", amount=Decimal(100), by=by)])
    assert refused.value.field == "by"


@given(
    prices=st.lists(cents(least=1), min_size=1, max_size=12),
    charges=st.lists(cents(least=-1_000, most=100_000), max_size=4),
    by=st.sampled_from([ApportionBy.VALUE, ApportionBy.COUNT]),
)
def test_landed_costs_add_up_to_prices_plus_charges(prices, charges, by):
    lines = [line(str(number), price) for number, price in enumerate(prices)]
    landed = land(lines, [Charge(words="x", amount=amount, by=by) for amount in charges])
    assert sum(one.cost for one in landed) == sum(prices) + sum(charges)


@given(cost=cents(), pieces=st.integers(1, 60))
def test_pieces_differ_by_at_most_a_cent_and_add_up(cost, pieces):
    parts = split_cost(cost, pieces)
    assert sum(parts) == cost
    assert max(parts) - min(parts) <= Decimal("0.01")
