"""The journal as a table: every entry once, by its time, however few are read at once."""

from datetime import timedelta
from decimal import Decimal

import pytest

from inventory.desk.tables import journal_table
from inventory.models import StockEntry
from inventory.shelf.services.moves import draw_stock
from tests.factories import NOW
from tests.inventory.stocked import stocked

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("part", [1, 2, 3, 2000])
def test_every_entry_is_told_once_by_its_time(monkeypatch, part):
    monkeypatch.setattr("inventory.desk.tables.PART", part)
    material = stocked(quantity=100)
    for hours in (1, 2, 2, 2, 3, 0):
        at = NOW + timedelta(hours=hours)
        draw_stock(material=material, quantity=Decimal(1), holder="build:1", now=at)
    told = [row["entry"] for row in journal_table()]
    wanted = StockEntry.objects.order_by("happened_at", "pk").values_list("pk", flat=True)
    assert told == list(wanted)
    assert len(told) == 7
