"""What must hold of cost and marks, each with the figures by which a slip would show."""

from datetime import timedelta
from decimal import Decimal

import pytest

from inventory.counting.services import count_stock
from inventory.ledger.services.reverse import reverse_entry
from inventory.models import KeptAs, PriceKind, StockEntry
from inventory.reservations.services import reserve_stock
from inventory.shelf.services.moves import draw_stock, return_stock
from inventory.shelf.services.records import record_price
from tests.factories import NOW, TODAY
from tests.inventory.stocked import stocked

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("workshop")]
ONE = Decimal(1)


def test_what_comes_back_in_parts_comes_back_at_all_its_cost():
    """Three for 1.00, drawn at once: a third each, rounded on its own, would bring back 0.99."""
    pins = stocked(KeptAs.COUNT, 3, price="1.00")
    (drawn,) = draw_stock(material=pins, quantity=Decimal(3), holder="build:1", now=NOW)
    back = [return_stock(entry=drawn, quantity=ONE, now=NOW).cost for _ in range(3)]
    assert back == [Decimal("0.33"), Decimal("0.34"), Decimal("0.33")]
    pins.refresh_from_db()
    assert (pins.on_hand, pins.book_cost) == (Decimal(3), ONE)


@pytest.mark.parametrize("price", ["1.00", "2.00", "0.07"])
def test_a_lot_that_a_reversal_empties_keeps_no_cost(price):
    """Of three for 1.00 two are drawn, one is found, one drawn: and the find was a slip.

    The find came in at a third and the draws took a third each, rounded: a cent is left over.
    """
    pins = stocked(KeptAs.COUNT, 3, price=price)
    lot = pins.lots.get()
    for _ in range(2):
        draw_stock(material=pins, quantity=ONE, holder="build:1", now=NOW)
    (found,) = count_stock(material=pins, counted=Decimal(2), lot=lot, now=NOW)
    draw_stock(material=pins, quantity=ONE, lot=found.lot, holder="build:1", now=NOW)
    reverse_entry(entry=found, why="counted twice", now=NOW)
    assert [one.remaining_cost for one in pins.lots.filter(remaining=0)] == [0] * pins.lots.filter(
        remaining=0
    ).count()
    pins.refresh_from_db()
    assert pins.book_cost == sum(one.remaining_cost for one in pins.lots.all())


def test_asking_a_price_again_renews_its_day_though_it_stayed_the_same():
    pins = stocked(KeptAs.COUNT, 3)
    record_price(material=pins, price=Decimal("2.00"), on=TODAY - timedelta(200))
    record_price(material=pins, price=Decimal("2.00"), on=TODAY)
    pins.refresh_from_db()
    assert (pins.replacement_price, pins.replacement_checked_on) == (Decimal("2.00"), TODAY)
    days = pins.price_notes.filter(kind=PriceKind.REPLACEMENT, noted_on=TODAY)
    assert days.count() == 1


def test_a_draw_that_the_books_lack_is_marked_once():
    """Ten on the shelf, five reserved: twelve drawn for another are ten there and two lacking.

    The two wait for a count already; the ten are not marked beside them.
    """
    pins = stocked(KeptAs.COUNT, 10)
    reserve_stock(material=pins, quantity=Decimal(5), holder="build:1", holder_name="B-1", now=NOW)
    draw_stock(material=pins, quantity=Decimal(12), holder="build:2", now=NOW)
    marked = StockEntry.objects.filter(to_reconcile=True)
    assert [entry.quantity for entry in marked] == [Decimal(-2)]
