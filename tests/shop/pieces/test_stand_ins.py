"""Pieces of other materials that could stand in for what a line names."""

from decimal import Decimal

import pytest

from inventory.ledger.services.incoming import NewLine, PieceFacts
from inventory.models import KeptAs, Species
from inventory.purchasing.services.deliveries import receive_delivery
from inventory.reservations.services import reserve_stock
from shop.pieces.queries import StandIns, stand_ins, stand_ins_of
from tests.factories import make_material
from tests.shop.factories import NOW, TODAY
from tests.shop.shelf_pieces import line_for, make_tops, receive_tops

pytestmark = pytest.mark.django_db


@pytest.fixture
def tops(workshop):
    return make_tops()


@pytest.fixture
def line(tops):
    return line_for(tops)


def other(name, *lengths, species=""):
    known = Species.objects.create(name=species) if species else None
    material = make_material(name, KeptAs.PIECE, species=known)
    receive_tops(material, TODAY, "80.00", *lengths)
    return material


def told(candidates):
    return [(one.lot.material.name, one.reason.split(",")[0]) for one in candidates]


def test_like_wood_comes_apart_from_other_wood_and_each_says_why(tops, line):
    other("Red spruce top, old stock", 430, 400)
    other("Cedar top", 425, species="Cedar")
    other("Mystery top", 440)
    found = stand_ins(line, tops, on=TODAY)
    assert told(found.like_wood) == [("Red spruce top, old stock", "fits exactly in width")]
    assert told(found.other_wood) == [
        ("Cedar top", "Cedar"),
        ("Mystery top", "wood not recorded; fits exactly in width"),
    ]
    assert found.other_wood[0].reason.startswith("Cedar, not spruce; fits exactly in width, ready")


def test_what_is_promised_stands_in_for_its_own_holder_only(tops, line):
    spruce = other("Red spruce top", 430)
    reserve_stock(
        material=spruce,
        quantity=Decimal(1),
        lot=spruce.lots.get(),
        holder="quote:7",
        holder_name="quote 7",
        now=NOW,
    )
    assert stand_ins(line, tops, on=TODAY) == StandIns()
    assert len(stand_ins(line, tops, on=TODAY, holder="quote:7").like_wood) == 1


def test_what_nobody_measured_and_what_is_too_small_stays_away(tops, line):
    unmeasured = make_material("Spruce, unmeasured", KeptAs.PIECE)
    arrived = NewLine(
        material=unmeasured, quantity=Decimal(1), price=Decimal(9), pieces=[PieceFacts()]
    )
    receive_delivery(received_on=TODAY, lines=[arrived], now=NOW)
    other("Spruce, short", 419)
    assert stand_ins(line, tops, on=TODAY) == StandIns()


def test_a_line_that_asks_for_no_size_is_offered_none(tops, line):
    other("Red spruce top", 430)
    line.piece_length_mm = line.piece_width_mm = None
    assert stand_ins(line, tops, on=TODAY) == StandIns()
    assert stand_ins(None, tops, on=TODAY) == StandIns()


def test_a_line_that_asks_for_no_wood_is_offered_whatever_is_large_enough(tops, line):
    other("Cedar top", 430, species="Cedar")
    line.wood = ""
    found = stand_ins(line, tops, on=TODAY)
    assert (found.like_wood, told(found.other_wood)) == (
        (),
        [("Cedar top", "fits exactly in width")],
    )


@pytest.mark.parametrize("lines", [1, 4])
def test_any_number_of_lines_takes_seven_queries(tops, line, lines, django_assert_num_queries):
    other("Red spruce top", 430)
    with django_assert_num_queries(7):
        found = stand_ins_of([(line, tops)] * lines, on=TODAY)
    assert len(found) == lines
