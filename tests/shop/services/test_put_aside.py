from datetime import date
from decimal import Decimal

import pytest

from inventory.arrivals import NewLine, PieceFacts
from inventory.models import KeptAs, Promise
from inventory.services.promise_stock import promise_stock
from inventory.services.receive_delivery import receive_delivery
from inventory.stock_refusals import PieceNotFree
from shop.services.cancel_build import cancel_build
from shop.services.draw_for_build import draw_for_build
from shop.services.put_aside import put_aside
from tests.factories import make_material, make_supplier
from tests.shop.factories import NOW, TODAY, make_build, planned_line

pytestmark = pytest.mark.django_db


@pytest.fixture
def spruce(workshop):
    material = make_material("Spruce top", KeptAs.PIECE, supplier=make_supplier(lead_time_days=21))
    sets = [
        PieceFacts(parts=2, is_ready=False),
        PieceFacts(parts=2, is_ready=True),
        PieceFacts(parts=2, is_ready=True),
    ]
    receive(material, 3, "96.00", pieces=sets)
    return material


@pytest.fixture
def fretwire(workshop):
    material = make_material("Fretwire, medium", KeptAs.LENGTH, unit="m", lead_time_days=7)
    receive(material, 1500, "8.40")
    return material


def receive(material, quantity, price, **fields):
    line = NewLine(material=material, quantity=Decimal(quantity), price=Decimal(price), **fields)
    return receive_delivery(received_on=TODAY, lines=[line], now=NOW)


def lot_of(material, number):
    return material.lots.order_by("pk")[number - 1]


def test_the_oldest_ready_piece_is_put_aside(spruce):
    build = make_build(lines=[planned_line(spruce)])
    assert put_aside(build=build, now=NOW) == ()
    promise = Promise.objects.get()
    assert promise.lot == lot_of(spruce, 2)
    assert (promise.holder, promise.line) == (build.holder, build.lines.get().key)


def test_a_chosen_piece_is_put_aside_instead(spruce):
    build = make_build(lines=[planned_line(spruce)])
    put_aside(build=build, chosen={1: [lot_of(spruce, 1)]}, now=NOW)
    assert Promise.objects.get().lot == lot_of(spruce, 1)


def test_a_chosen_piece_of_somebody_else_refuses_it_all(spruce, fretwire):
    taken = lot_of(spruce, 1)
    promise_stock(
        material=spruce, quantity=Decimal(1), holder="build:9", holder_name="9", now=NOW, lot=taken
    )
    build = make_build(lines=[planned_line(fretwire, "1050"), planned_line(spruce)])
    with pytest.raises(PieceNotFree):
        put_aside(build=build, chosen={2: [taken]}, now=NOW)
    assert not Promise.objects.filter(holder=build.holder).exists()


def test_as_much_as_is_free_is_put_aside_and_the_rest_is_short(fretwire):
    make_first = make_build(lines=[planned_line(fretwire, "930", to_draw=Decimal("1041.6"))])
    assert put_aside(build=make_first, now=NOW) == ()
    second = make_build(lines=[planned_line(fretwire, "930", to_draw=Decimal("1041.6"))])
    [shortage] = put_aside(build=second, now=NOW)
    assert shortage.missing == Decimal("583.2")
    assert shortage.here_by == date(2027, 3, 16)
    assert sum(p.outstanding for p in Promise.objects.filter(holder=second.holder)) == Decimal(
        "458.4"
    )


def test_what_the_shop_never_named_is_short_without_a_supplier(workshop):
    material = make_material("Label")
    line = planned_line(material)
    unnamed = type(line)(name="Case", quantity=Decimal(1), to_draw=Decimal(1), planned_cost=90)
    [shortage] = put_aside(build=make_build(lines=[unnamed]), now=NOW)
    assert (shortage.line.name, shortage.supplier_name, shortage.here_by) == ("Case", "", None)


def test_asking_again_promises_only_what_is_still_short(fretwire):
    build = make_build(lines=[planned_line(fretwire, "2000")])
    put_aside(build=build, now=NOW)
    receive(fretwire, 1000, "6.00")
    assert put_aside(build=build, now=NOW) == ()
    assert sum(p.outstanding for p in Promise.objects.all()) == 2000


def test_what_was_drawn_is_not_put_aside_again(fretwire):
    build = make_build(lines=[planned_line(fretwire, "1000")])
    put_aside(build=build, now=NOW)
    draw_for_build(build=build, line=build.lines.get(), quantity=Decimal(1000), now=NOW)
    assert put_aside(build=build, now=NOW) == ()
    assert not Promise.objects.filter(outstanding__gt=0).exists()


def test_cancelling_frees_everything(spruce, fretwire):
    build = make_build(lines=[planned_line(spruce), planned_line(fretwire, "900")])
    put_aside(build=build, now=NOW)
    cancel_build(build=build, why="The client wants a violin.", now=NOW)
    spruce.refresh_from_db()
    fretwire.refresh_from_db()
    assert (spruce.free, fretwire.free) == (3, 1500)
    assert build.notes.get().text == "Cancelled. The client wants a violin."
