"""W2, the stock half: a delivery, landed cost, and a set that goes back.

The figures are those of the invented workshop's second walk-through.
"""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from inventory.arrivals import NewLine, PieceFacts
from inventory.models import KeptAs, Lot, Material, PieceState
from inventory.services.receive_delivery import receive_delivery
from inventory.services.send_back import send_back
from tests.factories import make_material, make_supplier

DAY = date(2027, 3, 9)
NOW = datetime(2027, 3, 9, 10, 0, tzinfo=UTC)
MASSES = [868, 842, 905, 801, 930, 877]


@pytest.fixture
def delivery(workshop):
    spruce = make_material("Sitka spruce top, mandolin", KeptAs.PIECE)
    maple = make_material("Maple board, 52 mm", KeptAs.PIECE)
    sets = [PieceFacts(mass_g=Decimal(mass), parts=2) for mass in MASSES]
    board = PieceFacts(length_mm=Decimal(2400), width_mm=Decimal(190), thickness_mm=Decimal(52))
    return receive_delivery(
        supplier=make_supplier(),
        received_on=DAY,
        carriage=Decimal("24.00"),
        lines=[
            NewLine(material=spruce, quantity=Decimal(6), price=Decimal("192.00"), pieces=sets),
            NewLine(material=maple, quantity=Decimal(1), price=Decimal("90.11"), pieces=[board]),
        ],
        now=NOW,
    )


def costs(material):
    return [lot.remaining_cost for lot in Lot.objects.filter(material=material, remaining__gt=0)]


def test_carriage_lands_on_the_lines_by_value(delivery):
    spruce, maple = delivery.lines.all()
    assert (spruce.landed_cost, maple.landed_cost) == (Decimal("208.33"), Decimal("97.78"))
    assert sorted(costs(spruce.material)) == [Decimal("34.72")] * 5 + [Decimal("34.73")]


def test_each_set_is_a_numbered_piece_with_its_mass_and_seasons_first(delivery):
    lots = Lot.objects.filter(material__name__startswith="Sitka").select_related("piece")
    assert [lot.number for lot in lots] == [f"T-{n:04d}" for n in range(1, 7)]
    assert [lot.piece.mass_g for lot in lots] == MASSES
    assert {lot.piece.state for lot in lots} == {PieceState.SEASONING}


def test_the_reject_goes_back_and_its_carriage_stays_on_the_five_kept(delivery):
    reject = Lot.objects.get(piece__mass_g=Decimal(801))
    send_back(lot=reject, quantity=Decimal(1), credit=Decimal("32.00"), why="run-out", now=NOW)
    spruce = Material.objects.get(pk=reject.material_id)
    assert (spruce.on_hand, spruce.book_cost) == (5, Decimal("176.33"))
    assert costs(spruce) == [Decimal(c) for c in ("35.27", "35.26", "35.27", "35.26", "35.27")]
    reject.refresh_from_db()
    assert (reject.remaining, reject.remaining_cost) == (0, 0)
    assert reject.piece.state == PieceState.RETURNED
