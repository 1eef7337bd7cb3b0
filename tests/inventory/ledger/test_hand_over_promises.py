"""Promises go over to another holder and stay promised all the while."""

from datetime import date
from decimal import Decimal

import pytest

from inventory.ledger.services.incoming import NewLine
from inventory.ledger.services.issue import transfer_reservations
from inventory.models import Material, Promise
from inventory.purchasing.services.deliveries import receive_delivery
from inventory.reservations.services import reserve_stock
from tests.factories import NOW, TODAY, make_material

pytestmark = pytest.mark.django_db


@pytest.fixture
def spruce():
    spruce = make_material("spruce set", kept_as="piece")
    line = NewLine(material=spruce, quantity=Decimal(3), price=Decimal(90))
    receive_delivery(received_on=TODAY, lines=[line], now=NOW)
    return spruce


def promise(spruce, holder, line, place):
    lot = spruce.lots.order_by("pk")[place]
    return reserve_stock(
        material=spruce,
        quantity=Decimal(1),
        lot=lot,
        holder=holder,
        holder_name=holder,
        line=line,
        now=NOW,
    )


def test_the_same_pieces_have_another_holder(spruce):
    mine = promise(spruce, "quote:1", "row:1", 0)
    loose = promise(spruce, "quote:1", "row:9", 1)
    other = promise(spruce, "quote:2", "row:1", 2)
    until = date(2027, 4, 1)
    count = transfer_reservations(
        holder="quote:1", to="quote:3", to_name="quote Q-3", lines={"row:1": "row:7"}, until=until
    )
    assert count == 2
    kept = Promise.objects.order_by("pk").values_list("pk", "lot", "holder", "line", "until")
    assert list(kept) == [
        (mine.pk, mine.lot_id, "quote:3", "row:7", until),
        (loose.pk, loose.lot_id, "quote:3", "row:9", until),
        (other.pk, other.lot_id, "quote:2", "row:1", None),
    ]
    assert Material.objects.get().promised == 3


def test_nobody_holds_nothing(spruce):
    assert transfer_reservations(holder="quote:1", to="quote:3", to_name="x", lines={}) == 0
