from datetime import date, timedelta
from decimal import Decimal

import pytest

from inventory.ledger.services.incoming import NewLine, PieceFacts
from inventory.models import KeptAs, Piece, PieceState, Species, StockRules
from inventory.purchasing.services.deliveries import receive_delivery
from inventory.reservations.services import reserve_stock
from inventory.wood.services import weigh_piece
from shop.builds.services.stock import reserve_for_build
from shop.pieces.queries import proposed_pieces, shelf_of
from tests.factories import make_material
from tests.shop.factories import (
    NOW,
    TODAY,
    make_build,
    make_template,
    make_template_line,
    planned_line,
)

pytestmark = pytest.mark.django_db


def received(material, on, price, *pieces):
    line = NewLine(
        material=material,
        quantity=Decimal(len(pieces)),
        price=Decimal(price),
        pieces=[PieceFacts(**facts) for facts in pieces],
    )
    receive_delivery(received_on=on, lines=[line], now=NOW)


def sized(length, **facts):
    facts = {"parts": 2, "is_ready": True} | facts
    return {"length_mm": Decimal(length), "width_mm": Decimal(150), **facts}


@pytest.fixture
def spruce(workshop):
    species = Species.objects.create(name="Sitka spruce", botanical_name="Picea sitchensis")
    material = make_material("Mandolin top", KeptAs.PIECE, species=species)
    received(material, date(2026, 5, 3), "64.00", sized(432), sized(412))
    received(material, date(2027, 1, 5), "150.00", sized(440), sized(440, is_ready=False))
    return material


@pytest.fixture
def line(spruce):
    fields = {"wood": "spruce", "piece_length_mm": 420, "piece_width_mm": 150}
    return make_template_line(make_template(), material=spruce, **fields)


def told(candidates):
    return [(one.lot.number, one.reason) for one in candidates]


def test_the_whole_shelf_is_told(spruce, line):
    first, short, second, wet = spruce.lots.order_by("pk")
    found = shelf_of([spruce], on=TODAY).candidates(line, spruce)
    assert told(found.free) == [
        (first.number, "fits exactly in width, ready since 3 May 2026, oldest of two"),
        (second.number, "fits exactly in width, ready since 5 January, second oldest of two"),
        (wet.number, "fits exactly in width, still drying, the only one"),
    ]
    assert told(found.passed_over) == [(short.number, "too short by 8 mm")]


def test_a_piece_is_ready_since_its_weighings_say_so(spruce, line):
    wet = spruce.lots.order_by("pk")[3]
    for week, grams in enumerate(("905.0", "901.0", "899.9", "899.7", "899.6")):
        weigh_piece(lot=wet, grams=Decimal(grams), on=date(2027, 1, 10) + timedelta(7 * week))
    found = shelf_of([spruce], on=TODAY).candidates(line, spruce)
    [reason] = [one.reason for one in found.free if one.lot == wet]
    assert "ready since 7 February" in reason


def test_the_day_when_a_piece_will_be_ready_is_forecast(spruce, line):
    wet = spruce.lots.order_by("pk")[3]
    for week, grams in enumerate(("1000", "972", "950", "934", "922")):
        weigh_piece(lot=wet, grams=Decimal(grams), on=date(2027, 1, 10) + timedelta(7 * week))
    found = shelf_of([spruce], on=TODAY).candidates(line, spruce)
    [reason] = [one.reason for one in found.free if one.lot == wet]
    assert "not ready until about " in reason


def test_what_is_promised_or_downgraded_is_passed_over(spruce, line):
    first, _, second, _ = spruce.lots.order_by("pk")
    take = {"material": spruce, "quantity": Decimal(1), "now": NOW}
    reserve_stock(lot=first, holder="build:9", holder_name="24-03 Octave mandolin", **take)
    Piece.objects.filter(lot=second).update(verdict=PieceState.DOWNGRADED)
    shelf = shelf_of([spruce], on=TODAY)
    passed = dict(told(shelf.candidates(line, spruce).passed_over))
    assert passed[first.number] == "reserved for 24-03 Octave mandolin"
    assert passed[second.number] == "downgraded"
    own = shelf_of([spruce], on=TODAY, holder="build:9").candidates(line, spruce)
    assert own.proposed[0].lot == first


def test_the_shop_prefers_as_its_rules_say_and_may_be_overruled(spruce, line):
    oldest, _, dearest, _ = spruce.lots.order_by("pk")
    StockRules.objects.create(pk=1, take_first="dearest")
    assert proposed_pieces(line, spruce, 1, on=TODAY) == [dearest]
    assert proposed_pieces(line, spruce, 1, on=TODAY, first="oldest") == [oldest]
    build = make_build(lines=[planned_line(spruce, template_line=line)])
    reserve_for_build(build=build, now=NOW)
    assert build.lines.get().material.promises.get().lot == dearest


def test_another_material_than_planned_is_not_asked_for_the_planned_wood(spruce, line):
    maple = make_material("Maple top", KeptAs.PIECE, species=Species.objects.create(name="Maple"))
    received(maple, TODAY, "40.00", sized(430))
    assert shelf_of([maple], on=TODAY).candidates(line, maple).proposed
    line.material = maple
    found = shelf_of([maple], on=TODAY).candidates(line, maple)
    assert [one.reason for one in found.passed_over] == ["Maple, not spruce"]


@pytest.mark.parametrize("more", [0, 12])
def test_a_shelf_takes_six_queries(spruce, line, more, django_assert_num_queries):
    if more:
        received(spruce, TODAY, "120.00", *[sized(430) for _ in range(more)])
    with django_assert_num_queries(6):
        shelf_of([spruce], on=TODAY).candidates(line, spruce)
