"""A count that is told hours later says what was there then."""

from datetime import timedelta
from decimal import Decimal

import pytest

from inventory.counting.services import count_stock
from inventory.models import KeptAs
from inventory.shelf.services.moves import draw_stock
from tests.factories import NOW, make_material

pytestmark = pytest.mark.django_db
THEN = NOW - timedelta(hours=6)


@pytest.fixture
def nuts(workshop):
    nuts = make_material("nuts", KeptAs.COUNT)
    count_stock(material=nuts, counted=Decimal(20), now=NOW - timedelta(days=1))
    return nuts


def draw(nuts, quantity, at):
    draw_stock(material=nuts, quantity=Decimal(quantity), holder="", now=NOW, happened_at=at)


def on_hand(nuts):
    nuts.refresh_from_db()
    return nuts.on_hand


def test_what_was_drawn_after_the_count_is_not_counted_again(nuts):
    draw(nuts, 2, THEN + timedelta(hours=1))
    assert count_stock(material=nuts, counted=Decimal(20), now=NOW, happened_at=THEN) == []
    assert on_hand(nuts) == 18


def test_what_was_drawn_before_the_count_is_settled_by_it(nuts):
    draw(nuts, 2, THEN - timedelta(hours=1))
    [entry] = count_stock(material=nuts, counted=Decimal(17), now=NOW, happened_at=THEN)
    assert (entry.quantity, entry.happened_at, entry.recorded_at) == (-1, THEN, NOW)
    assert on_hand(nuts) == 17


def test_more_drawn_since_than_was_counted_leaves_nothing(nuts):
    draw(nuts, 5, THEN + timedelta(hours=1))
    count_stock(material=nuts, counted=Decimal(3), now=NOW, happened_at=THEN)
    assert on_hand(nuts) == 0
