"""Stock on a past day equals a replay of the journal up to that day, for any history."""

from datetime import timedelta
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inventory.models import KeptAs, Material, StockEntry
from inventory.queries.value import stock_as_of, stock_now
from inventory.services.count_stock import count_stock
from inventory.services.draw_stock import draw_stock
from inventory.services.scrap_stock import scrap_stock
from tests.factories import NOW
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
