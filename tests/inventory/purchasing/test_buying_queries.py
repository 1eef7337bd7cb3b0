"""What to buy: plans and levels, less what is there and what is coming."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from dateutil.relativedelta import relativedelta

from inventory.base.refusals import Refusal
from inventory.ledger.services.demand import NeededLine, replace_demand
from inventory.ledger.services.reverse import reverse_entry
from inventory.models import (
    Delivery,
    DeliveryLine,
    KeptAs,
    Material,
    Need,
    Order,
    OrderLine,
    PriceBreak,
)
from inventory.purchasing.calc.reorder import are_countless, lumpy_level
from inventory.purchasing.queries.advice import buying_advice, past_use
from inventory.purchasing.queries.buying import cost_of, what_to_buy
from inventory.purchasing.queries.orders import used_by_month
from inventory.purchasing.services.orders import ToOrder, make_orders
from inventory.reservations.services import release_reservations, reserve_stock
from inventory.shelf.services.moves import draw_stock, return_stock
from tests.factories import NOW, TODAY, make_material, make_supplier
from tests.inventory.stocked import stocked

pytestmark = pytest.mark.usefixtures("workshop")
JULY = date(2027, 7, 1)


def need(material, quantity, holder="build:1", wanted_by=JULY):
    replace_demand(
        holder=holder,
        holder_name=holder,
        needs=[NeededLine(material=material, quantity=Decimal(quantity), line="1")],
        wanted_by=wanted_by,
    )


def short():
    return {buy.material.name: buy.short for buy in what_to_buy()}


def test_a_plan_beyond_the_shelf_is_short_by_the_rest():
    need(stocked(name="nut", quantity=2), 5)
    assert short() == {"nut": 3}


def test_what_was_drawn_for_it_is_wanted_no_more_and_what_came_back_is():
    material = stocked(name="nut", quantity=3)
    need(material, 5)
    entry = draw_stock(material=material, quantity=Decimal(3), holder="build:1", now=NOW)[0]
    assert short() == {"nut": 2}
    return_stock(entry=entry, quantity=Decimal(1), now=NOW)
    assert short() == {"nut": 2}
    other = draw_stock(material=material, quantity=Decimal(1), holder="build:9", now=NOW)[0]
    assert short() == {"nut": 3}
    reverse_entry(entry=other, now=NOW)
    assert short() == {"nut": 2}


def test_two_lines_and_two_holders_add_up():
    material = stocked(name="nut", quantity=1)
    lines = [NeededLine(material=material, quantity=Decimal(2), line=line) for line in ("1", "2")]
    replace_demand(holder="build:1", holder_name="one", needs=lines)
    need(material, 3, "build:2")
    (buy,) = what_to_buy()
    assert (buy.short, buy.for_plans) == (6, 7)


def test_a_promise_to_a_holder_with_a_need_is_not_counted_twice():
    material = stocked(name="nut", quantity=5)
    need(material, 5)
    reserve_stock(
        material=material, quantity=Decimal(5), holder="build:1", holder_name="x", now=NOW
    )
    assert short() == {}


def test_a_quote_on_hold_keeps_its_stock_from_others():
    material = stocked(name="nut", quantity=5)
    reserve_stock(
        material=material, quantity=Decimal(4), holder="quote:1", holder_name="x", now=NOW
    )
    need(material, 3)
    assert short() == {"nut": 2}


def test_letting_go_of_promises_ends_the_need():
    need(stocked(quantity=2), 5)
    release_reservations(holder="build:1", now=NOW)
    assert what_to_buy() == []
    assert not Need.objects.exists()


def test_what_is_on_order_is_bought_once():
    material = stocked(name="nut", quantity=2, supplier=make_supplier())
    need(material, 5)
    make_orders(lines=[ToOrder(material=material, quantity=Decimal(2))], on=TODAY)
    assert short() == {"nut": 1}


def test_stock_below_its_level_is_bought_up_to_it():
    stocked(name="low", quantity=2, reorder_level=Decimal(6))
    stocked(name="enough", quantity=9, reorder_level=Decimal(6))
    make_material("never held", reorder_level=Decimal(1))
    assert short() == {"low": 4, "never held": 1}


def test_a_level_covers_the_use_of_plans_too():
    material = stocked(name="nut", quantity=3, reorder_level=Decimal(6))
    need(material, 2)
    assert short() == {"nut": 3}, "the level is not kept on top of the plan"
    need(material, 5, "build:2")
    assert short() == {"nut": 4}, "more than the level is planned"


def test_whole_packs_and_the_least_order_are_bought_at_the_price_of_that_quantity():
    material = make_material(
        "wire", KeptAs.LENGTH, unit="m", pack=Decimal(600), replacement_price=Decimal(9)
    )
    for least, price in ((1200, "5.00"), (6000, "4.00")):
        PriceBreak.objects.create(material=material, least=Decimal(least), price=Decimal(price))
    need(material, 700)
    (buy,) = what_to_buy()
    assert (buy.quantity, buy.price, cost_of(buy)) == (1200, Decimal(5), Decimal("6.00"))
    need(material, 6100, "build:2")
    (buy,) = what_to_buy()
    assert (buy.quantity, buy.price) == (7200, Decimal(4))


def test_the_last_day_to_order_allows_for_the_lead_time():
    need(make_material(lead_time_days=30), 1, wanted_by=JULY)
    assert what_to_buy()[0].order_by == date(2027, 6, 1)


@pytest.mark.parametrize("builds", [1, 25])
def test_what_to_buy_takes_a_fixed_number_of_queries(django_assert_num_queries, builds):
    for number in range(builds):
        material = stocked(quantity=1, supplier=make_supplier(f"s{number}"))
        need(material, 5, f"build:{number}")
        draw_stock(material=material, quantity=Decimal(1), holder=f"build:{number}", now=NOW)
        make_orders(lines=[ToOrder(material=material, quantity=Decimal(1))], on=TODAY)
    with django_assert_num_queries(6):
        assert len(what_to_buy()) == builds


def test_use_is_added_up_month_by_month_without_what_came_back():
    material = stocked(quantity=100)
    for month, quantity in ((1, 4), (3, 6)):
        entry = draw_stock(
            material=material,
            quantity=Decimal(quantity),
            holder="build:1",
            now=NOW.replace(month=month),
        )[0]
    return_stock(entry=entry, quantity=Decimal(1), now=NOW.replace(month=3))
    used = used_by_month(material, date(2027, 5, 20), 6)
    assert used == [0, 0, 4, 0, 5, 0]


def test_the_advised_level_covers_the_lead_time_and_is_whole_for_counts():
    material = stocked(quantity=1000, lead_time_days=61, replacement_price=Decimal(2))
    for month in range(1, 14):
        draw_stock(
            material=material,
            quantity=Decimal(10),
            holder="build:1",
            now=NOW.replace(month=1) + relativedelta(months=month - 1),
        )
    advice = buying_advice(material, date(2028, 2, 15))
    # 10 a month without variation over 61 / 30.4375 months is 20.04, and a draw takes 10 below it.
    assert advice.level == 31
    assert advice.runs_out is None, "no chance is told where draws don't come at random"
    assert advice.size.best.quantity % 1 == 0


def test_lead_times_that_vary_raise_the_level_of_regular_use():
    material = stocked(quantity=1000, lead_time_days=61, replacement_price=Decimal(2))
    for month in range(1, 14):
        now = NOW.replace(month=1) + relativedelta(months=month - 1)
        draw_stock(material=material, quantity=Decimal(10), holder="build:1", now=now)
    assert buying_advice(material, date(2028, 2, 15)).lead_days == ()
    supplier = make_supplier()
    for number, days in enumerate((31, 61, 91), start=1):
        sent = date(2027, 4 * number - 3, 1)
        order = Order.objects.create(
            supplier=supplier, number=f"O-{number}", made_on=sent, sent_on=sent, currency="EUR"
        )
        line = OrderLine.objects.create(order=order, material=material, quantity=5, price=1)
        came = Delivery.objects.create(
            supplier=supplier, received_on=sent + timedelta(days), currency="EUR"
        )
        DeliveryLine.objects.create(
            delivery=came, material=material, quantity=5, price=1, landed_cost=1, order_line=line
        )
    advice = buying_advice(material, date(2028, 2, 15))
    assert advice.lead_days == (91, 61, 31)
    # Of 10 a month and 30 days or 0.986 months (sd): 1.645 x 9.86 is 16.2 more than 30.04.
    assert advice.level == 47


def test_use_in_lumps_gets_the_level_of_its_own_draws():
    material = stocked(quantity=1000, lead_time_days=30)
    for month, sizes in {2: (8, 8), 5: (8,), 6: (8, 8, 8), 11: (8,)}.items():
        for day, size in enumerate(sizes, start=3):
            now = NOW.replace(month=month, day=day)
            draw_stock(material=material, quantity=Decimal(size), holder="build:1", now=now)
    advice = buying_advice(material, date(2028, 1, 15))
    words = {step.words: step.figure for step in advice.reorder.steps}
    assert words["draws known"] == 7
    assert advice.use.days == 346
    assert 0 < advice.runs_out <= 5 < advice.runs_out_at_less
    assert advice.level == advice.reorder.level


def test_use_of_a_young_material_is_that_of_its_own_days():
    material = stocked(quantity=100, lead_time_days=30)
    for day in (1, 9, 14, 22):
        draw_stock(
            material=material,
            quantity=Decimal(3),
            holder="build:1",
            now=NOW + timedelta(days=day),
        )
    young = past_use(material, (NOW + timedelta(days=30)).date())
    assert (young.draws, young.days) == ((3, 3, 3, 3), 30)
    assert young.months == (), "neither month is whole"
    old = past_use(material, (NOW + timedelta(days=360)).date())
    assert (old.draws, old.days) == ((3, 3, 3, 3), 360)


def test_a_draw_that_was_undone_is_no_use():
    material = stocked(quantity=100, lead_time_days=30)
    entry = draw_stock(material=material, quantity=Decimal(3), holder="build:1", now=NOW)[0]
    reverse_entry(entry=entry, now=NOW)
    assert past_use(material, TODAY).draws == ()


def test_measured_stock_gets_the_level_of_its_own_draws():
    material = stocked(KeptAs.LENGTH, quantity=100_000, unit="m", lead_time_days=30)
    for day, length in enumerate((1600, 1600, 3200, 1600, 1600)):
        now = NOW + timedelta(days=20 * day + day**2)
        draw_stock(material=material, quantity=Decimal(length), holder="build:1", now=now)
    advice = buying_advice(material, (NOW + timedelta(days=300)).date())
    assert advice.use.draws == (Decimal("1.6"),) * 2 + (Decimal("3.2"),) + (Decimal("1.6"),) * 2
    assert 3200 < advice.level <= 6400
    assert 0 < advice.runs_out <= 5
    assert round(advice.reorder.steps[2].figure, 2) == Decimal("1.92"), "the mean draw, in m"


def test_what_comes_back_later_takes_from_the_day_of_its_draw():
    material = stocked(quantity=100, lead_time_days=30)
    entry = draw_stock(material=material, quantity=Decimal(9), holder="build:1", now=NOW)[0]
    return_stock(entry=entry, quantity=Decimal(4), now=NOW + timedelta(days=7))
    assert past_use(material, (NOW + timedelta(days=30)).date()).draws == (5,)


@pytest.mark.parametrize(("draws", "days", "is_known"), [(3, 120, 0), (4, 89, 0), (4, 120, 1)])
def test_too_few_draws_or_days_give_no_level(draws, days, is_known):
    material = stocked(KeptAs.LENGTH, quantity=100_000, unit="m", lead_time_days=30)
    for day in range(draws):
        now = NOW + timedelta(days=day)
        draw_stock(material=material, quantity=Decimal(1600), holder="build:1", now=now)
    asked = (material, (NOW + timedelta(days=days)).date())
    if is_known:
        assert buying_advice(*asked).level > 0
        return
    with pytest.raises(Refusal, match=f"Known from {draws} draws in {days} days only"):
        buying_advice(*asked)


def test_a_young_material_is_never_taken_for_regular():
    material = stocked(quantity=1000, lead_time_days=30)
    for month in range(4):
        now = NOW + relativedelta(months=month)
        draw_stock(material=material, quantity=Decimal(10), holder="build:1", now=now)
    assert buying_advice(material, (NOW + timedelta(days=120)).date()).runs_out is not None


def test_so_many_draws_that_they_are_as_good_as_normal_are_told_by_the_month():
    assert are_countless(2000, 365, 120)
    assert not are_countless(365, 365, 120)
    with pytest.raises(Refusal, match="use in months says as much"):
        lumpy_level([1] * 2000, 365, 120)


def test_use_over_the_lead_time_is_the_mean_of_the_model():
    # 3 draws in 100 days, and half a draw of the largest: (1 + 1 + 1.5 x 12) / 100 x 50 = 10.
    steps = {step.words: step.figure for step in lumpy_level([1, 1, 12], 100, 50).steps}
    assert float(steps["use over the lead time"]) == pytest.approx(10)


def test_without_use_or_lead_time_there_is_no_advice():
    material = stocked()
    with pytest.raises(Refusal, match="Nothing was used"):
        buying_advice(material, TODAY)
    draw_stock(material=material, quantity=Decimal(1), holder="build:1", now=NOW)
    with pytest.raises(Refusal, match="lead time"):
        buying_advice(Material.objects.get(pk=material.pk), date(2027, 6, 1))
