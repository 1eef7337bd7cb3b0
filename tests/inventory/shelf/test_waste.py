from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.base.calc.money import round_money
from inventory.base.refusals import Refusal
from inventory.shelf.calc import (
    CutFromLength,
    ExtraShare,
    NoWaste,
    PackShare,
    Spares,
    WholeUnits,
    waste_rule,
)

METRE_BAR = CutFromLength(
    part=Decimal(110), kerf=Decimal(3), stock=Decimal(1000), least_remnant=Decimal(50)
)


# Net amounts, rates and prices are likely figures of a small shop: common practice, no source.
@pytest.mark.parametrize(
    ("rule", "net", "price", "drawn", "cost"),
    [
        (NoWaste(), "1", "90", "1", "90.00"),
        (WholeUnits(Decimal("0.08")), "1", "45", "1", "48.91"),
        (WholeUnits(Decimal("0.10")), "1", "25", "1", "27.78"),
        (ExtraShare(Decimal("0.12")), "930", "0.006", "1041.60", "6.25"),
        (ExtraShare(Decimal("0.15")), "4400", "0.005", "5060.00", "25.30"),
        (METRE_BAR, "1", "0.02", "113", "2.26"),
        (METRE_BAR, "8", "0.02", "904", "18.08"),
        (METRE_BAR, "9", "0.02", "1017", "20.34"),
        (PackShare(pack=Decimal(500)), "40", "0.03", "40", "1.20"),
        (PackShare(Decimal("0.25")), "30", "0.02", "30", "0.80"),
        (Spares(Decimal(2)), "8", "0.10", "10", "1.00"),
    ],
    ids=str,
)
def test_each_rule_draws_and_costs_as_it_says(rule, net, price, drawn, cost):
    draw = rule.draw(Decimal(net), Decimal(price))
    assert draw.drawn == Decimal(drawn)
    assert round_money(draw.cost) == Decimal(cost)


def test_a_metre_of_bar_gives_eight_parts_and_a_remnant_of_96():
    assert METRE_BAR.parts_per_length == 8
    assert METRE_BAR.used_up(8) == 904


def test_a_remnant_under_the_least_size_is_paid_by_the_parts():
    rule = CutFromLength(
        part=Decimal(110), kerf=Decimal(3), stock=Decimal(1000), least_remnant=Decimal(100)
    )
    assert rule.used_up(8) == 1000
    assert rule.draw(Decimal(1), Decimal(1)).expected == 125
    assert rule.draw(Decimal(1), Decimal(1)).drawn == 113


def test_the_last_part_needs_no_cut_behind_it():
    rule = CutFromLength(part=Decimal(100), kerf=Decimal(4), stock=Decimal(204))
    assert rule.parts_per_length == 2
    assert rule.used_up(2) == 204


def test_both_ends_are_trimmed_before_cutting():
    rule = CutFromLength(part=Decimal(620), kerf=Decimal(3), stock=Decimal(2400), trim=Decimal(40))
    assert (rule.usable, rule.parts_per_length, rule.used_up(3)) == (2320, 3, 1949)


def test_every_draw_opens_to_its_steps():
    draw = WholeUnits(Decimal("0.2")).draw(Decimal(2), Decimal(10))
    assert draw.rule == "whole units, 20 % rejected"
    assert [(step.words, step.figure) for step in draw.steps] == [
        ("needed", 2),
        ("good share", Decimal("0.8")),
        ("reserved", 2),
        ("used on average", Decimal("2.5")),
        ("unit price", 10),
        ("cost", 25),
    ]


def test_a_share_of_a_pack_says_how_much_of_it():
    draw = PackShare(pack=Decimal(500)).draw(Decimal(40), Decimal(1))
    assert draw.steps[1] == ("share of a pack", Decimal("0.08"))


@pytest.mark.parametrize(
    ("code", "rule"),
    [
        ("none", NoWaste()),
        ("whole", WholeUnits(Decimal("0.1"))),
        ("percent", ExtraShare(Decimal("0.1"))),
        ("share", PackShare(Decimal("0.1"))),
        ("spares", Spares(Decimal(2))),
        ("cutting", METRE_BAR),
    ],
)
def test_a_stored_code_names_its_rule(code, rule):
    assert waste_rule(code, rate=Decimal("0.1"), spares=Decimal(2), cut=METRE_BAR) == rule


def test_cutting_without_sizes_is_refused():
    with pytest.raises(Refusal, match="needs the part's length"):
        waste_rule("cutting")


def test_no_need_draws_no_spare():
    assert Spares(Decimal(2)).draw(Decimal(0), Decimal(1)).drawn == 0


@pytest.mark.parametrize(
    ("make", "sentence"),
    [
        (lambda: WholeUnits(Decimal(1)), "A reject rate is at least 0 and below 1"),
        (lambda: ExtraShare(Decimal("-0.1")), "The extra must be at least 0"),
        (lambda: PackShare(pack=Decimal(0)), "The pack size must be above 0"),
        (lambda: PackShare(Decimal(8)), "A spoilt share is at least 0 and below 1"),
        (lambda: Spares(Decimal(-1)), "Spares must be at least 0"),
        (
            lambda: CutFromLength(part=Decimal(0), kerf=Decimal(3), stock=Decimal(9)),
            "The part length must be above 0",
        ),
        (
            lambda: CutFromLength(
                part=Decimal(990), kerf=Decimal(3), stock=Decimal(1000), trim=Decimal(10)
            ),
            "A part of 990 does not fit a stock length of 1000 with 10 trimmed",
        ),
    ],
)
def test_a_rule_that_makes_no_sense_is_refused(make, sentence):
    with pytest.raises(Refusal, match=sentence):
        make()


rates = st.integers(0, 90).map(lambda n: Decimal(n) / 100)
rules = st.one_of(
    st.just(NoWaste()),
    st.builds(WholeUnits, rates),
    st.builds(ExtraShare, rates),
    st.builds(PackShare, rates, st.none() | st.integers(1, 999).map(Decimal)),
    st.builds(Spares, st.integers(0, 5).map(Decimal)),
    st.builds(
        CutFromLength,
        part=st.integers(10, 400).map(Decimal),
        kerf=st.integers(0, 5).map(Decimal),
        stock=st.integers(450, 3000).map(Decimal),
        least_remnant=st.integers(0, 300).map(Decimal),
        trim=st.integers(0, 20).map(Decimal),
    ),
)


@given(rule=rules, net=st.integers(0, 60), price=st.integers(0, 500))
def test_nothing_is_drawn_or_used_below_the_need(rule, net, price):
    draw = rule.draw(Decimal(net), Decimal(price))
    least = net * (rule.part if isinstance(rule, CutFromLength) else 1)
    assert draw.drawn >= least
    assert round(draw.expected, 12) >= least
    assert draw.steps[0] == ("needed", net)
    assert draw.steps[-1] == ("cost", draw.cost)
