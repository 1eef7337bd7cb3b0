"""Stock on a past day equals a replay of the journal up to that day, for any history."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inventory.counting.services import count_stock
from inventory.models import KeptAs, Material, StockEntry
from inventory.shelf.queries.value import stock_as_of, stock_now
from inventory.shelf.services.moves import draw_stock, scrap_stock
from inventory.shelf.services.records import record_price
from tests.factories import NOW, TODAY
from tests.inventory.stocked import stocked

moves = st.lists(
    st.tuples(st.sampled_from(["draw", "scrap", "count"]), st.integers(0, 1), st.integers(1, 9)),
    max_size=12,
)


def replayed(moment):
    """Add the journal up by hand, entry by entry."""
    held = {}
    for entry in StockEntry.objects.order_by("pk"):
        if entry.happened_at <= moment:
            quantity, cost = held.get(entry.material_id, (Decimal(0), Decimal(0)))
            held[entry.material_id] = (quantity + entry.quantity, cost + entry.cost)
    return {key: pair for key, pair in held.items() if any(pair)}


@pytest.mark.django_db
@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(moves=moves, asked=st.integers(-1, 13))
def test_any_past_day_is_a_replay(workshop, moves, asked):
    StockEntry.objects.update(act=None)
    StockEntry.objects.all().delete()
    Material.objects.update(on_hand=0, book_cost=0)
    materials = [stocked(quantity=9), stocked(KeptAs.LENGTH, 9, unit="mm")]
    for day, (what, which, quantity) in enumerate(moves, start=1):
        now = NOW + timedelta(days=day)
        ask = {"material": materials[which], "now": now}
        if what == "draw":
            draw_stock(quantity=Decimal(quantity), holder="build:1", **ask)
        elif what == "scrap":
            scrap_stock(quantity=Decimal(quantity), why="lost", **ask)
        else:
            count_stock(counted=Decimal(quantity), **ask)
    moment = NOW + timedelta(days=asked)
    assert {row.material.pk: (row.quantity, row.cost) for row in stock_as_of(moment)} == replayed(
        moment
    )
    far = NOW + timedelta(days=9999)
    today = {row.material.pk: (row.quantity, row.cost) for row in stock_now()}
    assert today == replayed(far)


@pytest.mark.django_db
def test_december_asked_in_march_is_december(workshop):
    material = stocked(quantity=10, price="20.00")
    december = NOW + timedelta(days=297)
    draw_stock(
        material=material, quantity=Decimal(4), holder="build:1", now=december + timedelta(days=60)
    )
    draw_stock(
        material=material,
        quantity=Decimal(1),
        holder="build:1",
        now=december + timedelta(days=60),
        happened_at=december - timedelta(days=1),
    )
    (row,) = stock_as_of(december)
    # the draw told in March that happened in December is December's
    assert (row.quantity, row.cost) == (9, Decimal("18.00"))


def worth(material, on):
    (row,) = [row for row in stock_as_of(end_of(on)) if row.material == material]
    return row.value, row.realisable, row.replacement


def end_of(day):
    return NOW.replace(year=day.year, month=day.month, day=day.day)


notes = st.lists(
    st.tuples(st.integers(0, 20), st.integers(0, 500), st.integers(0, 500)), max_size=8
)


@pytest.mark.django_db
@settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck))
@given(notes=notes, asked=st.integers(0, 21))
def test_a_past_day_is_valued_at_the_prices_noted_by_then(workshop, notes, asked):
    with transaction.atomic():
        material = stocked(quantity=1, price="2.00", replacement_price=None)
        days = {}
        for day, replacement, realisable in notes:
            on = TODAY + timedelta(days=day)
            known = Decimal(replacement) / 100, Decimal(realisable) / 100
            record_price(material=material, price=known[0], on=on, realisable=known[1])
            days.setdefault(day, []).append(known)
        by_then = [pair for day in sorted(days) if day <= asked for pair in days[day]]
        replacement, realisable = by_then[-1] if by_then else (None, None)
        value = Decimal("2.00") if realisable is None else min(Decimal("2.00"), realisable)
        on = TODAY + timedelta(days=asked)
        assert worth(material, on) == (value, realisable, replacement)
        material.refresh_from_db()
        everything = [pair for day in sorted(days) for pair in days[day]]
        last = everything[-1] if everything else (None, None)
        assert (material.replacement_price, material.realisable_price) == last
        transaction.set_rollback(True)


@pytest.mark.django_db
def test_december_asked_in_march_keeps_december_s_prices(workshop):
    december, march = date(2027, 12, 31), date(2028, 3, 20)
    material = stocked(quantity=10, price="20.00", replacement_price=None)
    record_price(material=material, price=Decimal("2.10"), on=TODAY, realisable=Decimal("1.50"))
    at_the_time = worth(material, december)
    record_price(material=material, price=Decimal("3.00"), on=march, realisable=Decimal("0.40"))
    assert worth(material, december) == at_the_time == (15, 15, 21)
    assert worth(material, march) == (4, 4, 30)


@pytest.mark.django_db
def test_a_price_that_nobody_dated_holds_on_every_day(workshop):
    material = stocked(quantity=10, price="20.00", replacement_price=Decimal("2.50"))
    assert worth(material, TODAY)[2] == 25


@pytest.mark.django_db
def test_a_price_that_is_no_longer_known_was_known_before(workshop):
    material = stocked(quantity=10, price="20.00", replacement_price=None)
    later = TODAY + timedelta(days=30)
    record_price(material=material, price=Decimal(2), on=TODAY, realisable=Decimal(1))
    record_price(material=material, price=Decimal(2), on=later)
    assert worth(material, TODAY) == (10, 10, 20)
    assert worth(material, later) == (20, None, 20)


def test_a_delivery_booked_in_later_counts_on_the_day_that_it_came(workshop):
    stocked(quantity=4, price="20.00", received_on=TODAY - timedelta(days=30))
    (held,) = stock_as_of(NOW - timedelta(days=29))
    assert (held.quantity, held.cost) == (4, Decimal("20.00"))
    assert stock_as_of(NOW - timedelta(days=31)) == []
