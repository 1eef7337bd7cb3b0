import math
from decimal import Decimal
from statistics import mean

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import nbinom

from inventory.base.refusals import Refusal
from inventory.purchasing.calc.reorder import (
    Holding,
    QuantityPrice,
    UsageStats,
    lumpy_level,
    order_size,
    price_at,
    reorder_level,
    use_of,
    whole_order,
)
from tests.inventory.purchasing.simulated_shelves import SIZES, YEAR, ran_out, shelf_of

FIVE_BREAKS = "1:53 50:51.5 100:49.5 200:48 500:47"
SPEAKER_BREAKS = "1:11 10000:10 80000:9.5"


def breaks_of(text):
    rows = (row.split(":") for row in text.split())
    return [QuantityPrice(Decimal(least), Decimal(price)) for least, price in rows]


def share(text):
    return Holding(share=Decimal(text))


def amount(text):
    return Holding(amount=Decimal(text))


# Use and its deviation, lead time and its deviation, service level; safety stock and level with
# the exact z. Stevenson, Operations Management, ch. 12 example 8 (verified; prints 9.40 and 59.40
# with z 1.88). The others are Heizer & Render's, from memory, recomputed; they print 366.5, 39 and
# 1004 from rounded z.
@pytest.mark.parametrize(
    ("use", "lead", "service", "safety", "level"),
    [
        (("50", "5"), ("1", "0"), "0.97", "9.404", "59.404"),
        (("350", "10"), ("1", "0"), "0.95", "16.449", "366.449"),
        (("15", "5"), ("2", "0"), "0.90", "9.062", "39.062"),
        (("150", "16"), ("5", "1"), "0.95", "253.649", "1003.649"),
        (("32", "0"), ("3", "0"), "0.50", "0.000", "96.000"),
    ],
    ids=["Stevenson", "one period", "two periods", "lead time varies", "all fixed"],
)
def test_published_reorder_levels(use, lead, service, safety, level):
    found = reorder_level(
        UsageStats(*map(Decimal, use)),
        Decimal(lead[0]),
        lead_deviation=Decimal(lead[1]),
        service_level=Decimal(service),
    )
    assert round(found.safety, 3) == Decimal(safety)
    assert round(found.level, 3) == Decimal(level)


def test_a_level_opens_to_its_steps_and_names_its_service_level():
    found = reorder_level(
        UsageStats(Decimal(50), Decimal(5)), Decimal(1), service_level=Decimal("0.97")
    )
    words = [step.words for step in found.steps]
    assert "standard deviations for a service level of 97 %" in words
    assert found.steps[-1] == ("reorder level", found.level)
    assert found.over_lead_time + found.safety == found.level


@pytest.mark.parametrize(
    ("periods", "mean", "deviation"),
    [
        ([], "0", "0"),
        (["7"], "7", "0"),
        (["2", "4", "4", "4", "5", "5", "7", "9"], "5", "2.138"),
        (["0", "0", "6"], "2", "3.464"),
    ],
    ids=["nothing known", "one period", "eight periods", "periods without use"],
)
def test_past_use_gives_mean_and_sample_deviation(periods, mean, deviation):
    use = use_of([Decimal(one) for one in periods])
    assert use.mean == Decimal(mean)
    assert round(use.deviation, 3) == Decimal(deviation)


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"service_level": Decimal(1)}, "at least 0.5 and below 1"),
        ({"service_level": Decimal("0.4")}, "at least 0.5 and below 1"),
        ({"lead_periods": Decimal(-1)}, "lead time must be at least 0"),
    ],
)
def test_levels_that_can_not_be_are_refused(fields, sentence):
    with pytest.raises(Refusal, match=sentence):
        reorder_level(UsageStats(Decimal(1)), **{"lead_periods": Decimal(1)} | fields)


# Yearly use, cost of an order, cost of keeping, prices; best size and yearly total. "five breaks"
# is a published solved example (verified); of "four breaks" only the inputs are published. The
# others are well-known textbook examples, from memory, recomputed.
@pytest.mark.parametrize(
    ("use", "cost", "holding", "breaks", "quantity", "total"),
    [
        ("10000", "40", amount("5"), "1:50", "400", "502000"),
        ("96000", "12000", amount("3.6"), "1:11", "25298.22", "1147073.60"),
        ("800", "60", share("0.30"), FIVE_BREAKS, "200", "40080"),
        ("5000", "49", share("0.20"), "1:5 1000:4.8 2000:4.75", "1000", "24725"),
        ("96000", "12000", amount("3.6"), SPEAKER_BREAKS, "25298.22", "1051073.60"),
        ("2000", "20", share("0.20"), "1:2.5 200:2.4 300:2.25 1000:2", "1000", "4240"),
    ],
    ids=["plain", "speakers", "five breaks", "three breaks", "speaker breaks", "four breaks"],
)
def test_published_order_sizes(use, cost, holding, breaks, quantity, total):
    best = order_size(Decimal(use), Decimal(cost), breaks_of(breaks), holding).best
    assert round(best.quantity, 2) == Decimal(quantity)
    assert round(best.total, 2) == Decimal(total)


def test_every_price_that_is_weighed_is_shown_with_its_total():
    # Published: 79 pieces 42,417.9; 100 40,822.5; 200 40,080; 500 41,221.
    advice = order_size(Decimal(800), Decimal(60), breaks_of(FIVE_BREAKS), share("0.30"))
    assert [(round(one.quantity), round(one.total, 1)) for one in advice.weighed] == [
        (79, Decimal("42417.9")),
        (100, Decimal("40822.5")),
        (200, Decimal("40080.0")),
        (500, Decimal("41221.0")),
    ]


def test_whole_packs_and_a_least_order_are_kept_to():
    advice = order_size(
        Decimal(100), Decimal(10), breaks_of("1:10"), share("0.2"), pack=Decimal(12)
    )
    assert advice.best.quantity == 36
    least = order_size(
        Decimal(100),
        Decimal(10),
        breaks_of("1:10"),
        share("0.2"),
        least_order=Decimal(50),
        pack=Decimal(12),
    )
    assert least.best.quantity == 60


@pytest.mark.parametrize(
    ("use", "cost", "holding", "sentence"),
    [
        ("0", "10", share("0.2"), "needs a yearly use"),
        ("10", "0", share("0.2"), "needs a yearly use"),
        ("10", "10", Holding(), "storage cost above 0"),
    ],
)
def test_without_use_or_cost_there_is_no_best_size(use, cost, holding, sentence):
    with pytest.raises(Refusal, match=sentence):
        order_size(Decimal(use), Decimal(cost), breaks_of("1:10"), holding)


@pytest.mark.parametrize(
    ("wanted", "least", "pack", "order"),
    [
        ("0", "6", "12", "0"),
        ("-3", "6", "0", "0"),
        ("2", "6", "0", "6"),
        ("7", "6", "12", "12"),
        ("25", "0", "12", "36"),
        ("24", "0", "12", "24"),
        ("2.5", "0", "0", "2.5"),
    ],
)
def test_an_order_is_whole_packs_and_at_least_the_least(wanted, least, pack, order):
    found = whole_order(Decimal(wanted), least_order=Decimal(least), pack=Decimal(pack))
    assert found == Decimal(order)


@pytest.mark.parametrize(
    ("quantity", "price"),
    [("0.5", None), ("1", "53"), ("99", "51.5"), ("100", "49.5"), ("9999", "47")],
)
def test_the_price_follows_the_quantity(quantity, price):
    assert price_at(Decimal(quantity), breaks_of(FIVE_BREAKS)) == (price and Decimal(price))


@given(
    use=st.integers(1, 5000),
    cost=st.integers(1, 200),
    keeping=st.integers(1, 60),
    prices=st.lists(st.integers(1, 90), min_size=1, max_size=4, unique=True),
    try_quantity=st.integers(1, 3000),
    pack=st.none() | st.integers(1, 40),
)
def test_no_other_quantity_is_cheaper(use, cost, keeping, prices, try_quantity, pack):
    falling = sorted(prices, reverse=True)
    breaks = [QuantityPrice(Decimal(1 + 100 * n), Decimal(p)) for n, p in enumerate(falling)]
    holding = Holding(share=Decimal(keeping) / 100)
    packs = Decimal(pack) if pack else None
    best = order_size(Decimal(use), Decimal(cost), breaks, holding, pack=packs).best
    quantity = Decimal(try_quantity) * (pack or 1)
    price = price_at(quantity, breaks)
    total = use * price + use / quantity * cost + quantity / 2 * holding.of(price)
    assert best.total <= total + Decimal("0.000001")
    assert price_at(best.quantity, breaks) == best.price or best.quantity < 1


@given(
    use=st.integers(0, 500),
    deviation=st.integers(0, 90),
    lead=st.integers(0, 12),
    service=st.integers(50, 98),
)
def test_a_higher_service_level_never_lowers_the_level(use, deviation, lead, service):
    levels = [
        reorder_level(
            UsageStats(Decimal(use), Decimal(deviation)),
            Decimal(lead),
            service_level=Decimal(one) / 100,
        ).level
        for one in (service, service + 1)
    ]
    assert levels[0] <= levels[1]


@pytest.mark.parametrize("pack", [None, Decimal(1)])
def test_where_the_next_price_is_dearer_the_last_size_before_it_is_weighed(pack):
    # By the cost of every size: 2 D S / H asks for 141, but from 100 on each costs a tenth more.
    breaks = breaks_of("1:10 100:11")
    asked = (Decimal(1000), Decimal(20), breaks, share("0.20"))
    found = order_size(*asked, pack=pack).best

    def yearly(quantity):
        price = Decimal(10 if quantity < 100 else 11)
        return 1000 * price + Decimal(20000) / quantity + quantity / 2 * price * Decimal("0.2")

    assert found.total == min(yearly(found.quantity), *map(yearly, map(Decimal, range(1, 400))))
    assert found.quantity == (99 if pack else Decimal("99.999"))


def test_use_over_the_lead_time_follows_its_negative_binomial():
    # One size only: n + 0.5 draws in 300 days; the level is 1 above what the 95 % point leaves.
    n, days, lead = 20, 300, 30
    level = int(lumpy_level([1] * n, days, lead).level)
    chances = nbinom(n + 0.5, days / (days + lead))
    assert chances.cdf(level - 1) >= 0.95 > chances.cdf(level - 2)


def test_without_a_wait_the_level_still_covers_the_draw_that_falls_below_it():
    # Bought one by one, stock is at its level before each draw of 4; from large packs anywhere.
    wait = {"days": 365, "lead_days": 0}
    assert lumpy_level([4] * 10, **wait).level == 4
    assert lumpy_level([4] * 10, **wait, pack=40, service_level=Decimal("0.75")).level == 3


@pytest.mark.parametrize("sizes", SIZES)
def test_a_level_lasts_as_often_as_it_says(sizes):
    """Told of 95.6 to 95.9 % and kept in 93.6 to 95.5 %, over 300 shelves; here over 60."""
    kept, said, plain = [], [], []
    for seed in range(60):
        shelf = shelf_of(sizes, seed, least=10)
        found = lumpy_level(shelf.draws, YEAR, shelf.lead, pack=shelf.pack)
        kept.append(1 - ran_out(shelf, int(found.level), seed, orders=150))
        said.append(float(found.lasts))
        use = use_of([Decimal(one) for one in shelf.months])
        level = reorder_level(use, Decimal(shelf.lead) / Decimal("30.4375")).level
        plain.append(1 - ran_out(shelf, math.ceil(level), seed, orders=150))
    assert 0.95 <= mean(said) <= 0.97
    assert 0.93 <= mean(kept) <= 0.97
    assert mean(plain) < 0.9, "the control keeps less than it says"
