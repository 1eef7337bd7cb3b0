"""W2: a delivery, a board, a reject, and string sets.

The figures are those of the invented workshop's second walk-through.
"""

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest

from inventory.cutting.calc.costs import Loss
from inventory.cutting.queries import CutPart
from inventory.cutting.services import cut_stock, record_lost_part
from inventory.kits.queries import recipes, still_makeable
from inventory.kits.services import make_kit
from inventory.ledger.services.incoming import NewLine, PieceFacts
from inventory.models import KeptAs, Lot, Material, Piece, PieceState, Recipe, RecipePart
from inventory.purchasing.services.deliveries import receive_delivery, return_to_supplier
from inventory.shelf.services.moves import scrap_stock
from inventory.wood.queries import density_of
from inventory.wood.services import weigh_piece
from tests.factories import make_material, make_supplier

DAY = date(2027, 3, 9)
NOW = datetime(2027, 3, 9, 10, 0, tzinfo=UTC)
MASSES = [868, 842, 905, 801, 930, 877]


@pytest.fixture
def delivery(workshop):
    spruce = make_material("Sitka spruce top, carved", KeptAs.PIECE)
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
    return_to_supplier(
        lot=reject, quantity=Decimal(1), credit=Decimal("32.00"), why="run-out", now=NOW
    )
    spruce = Material.objects.get(pk=reject.material_id)
    assert (spruce.on_hand, spruce.book_cost) == (5, Decimal("176.33"))
    assert costs(spruce) == [Decimal(c) for c in ("35.27", "35.26", "35.27", "35.26", "35.27")]
    reject.refresh_from_db()
    assert (reject.remaining, reject.remaining_cost) == (0, 0)
    assert reject.piece.state == PieceState.RETURNED


def weigh_weekly(lot, masses):
    return [
        weigh_piece(lot=lot, grams=Decimal(mass), on=DAY + timedelta(weeks=week))
        for week, mass in enumerate(masses)
    ]


def test_a_set_is_ready_once_three_weekly_masses_agree(delivery):
    first = Lot.objects.get(number="T-0001")
    *early, last = weigh_weekly(first, ["868.0", "861.5", "859.8", "858.9"])
    assert [verdict.ready for verdict in early] == [False, False, False]
    assert round(early[-1].spread * 100, 2) == Decimal("0.94")
    assert last.ready
    assert round(last.spread * 100, 3) == Decimal("0.302")
    first.piece.refresh_from_db()
    assert (first.piece.state, first.piece.mass_g) == (PieceState.READY, Decimal("858.9"))


def test_densities_come_from_mass_and_size(delivery):
    spruce = Material.objects.get(name__startswith="Sitka")
    Piece.objects.filter(lot__material=spruce).update(
        length_mm=Decimal(430), width_mm=Decimal(150), thickness_mm=Decimal("17.5")
    )
    pieces = Piece.objects.filter(lot__material=spruce).order_by("pk")
    assert [round(density_of(piece), 1) for piece in pieces] == [
        Decimal(figure) for figure in ("384.5", "373.0", "400.9", "354.8", "412.0", "388.5")
    ]


@pytest.fixture
def blanks(delivery):
    """The six neck blanks, and the remnant, of the maple board."""
    board = Lot.objects.get(material__name__startswith="Maple")
    blank = make_material("Neck blank, maple", KeptAs.PIECE)
    size = PieceFacts(length_mm=Decimal(620), width_mm=Decimal(80), thickness_mm=Decimal(52))
    rest = PieceFacts(length_mm=Decimal(451), width_mm=Decimal(190), thickness_mm=Decimal(52))
    *six, remnant = cut_stock(
        lot=board,
        parts=[CutPart(material=blank, measure=Decimal(620), piece=size)] * 6,
        remnants=[CutPart(material=board.material, measure=Decimal(451), piece=rest)],
        usable=Decimal(2320),
        now=NOW,
    )
    for lot in [*six, remnant]:
        lot.refresh_from_db()
    return board, six, remnant


def test_the_board_is_cut_into_six_blanks_and_a_remnant_with_its_cost(blanks):
    board, six, remnant = blanks
    assert remnant.remaining_cost == Decimal("19.01")
    assert sum(lot.remaining_cost for lot in six) == Decimal("78.77")
    assert {lot.remaining_cost for lot in six} == {Decimal("13.12"), Decimal("13.13")}
    assert {lot.cut_from for lot in [*six, remnant]} == {board}
    assert remnant.piece.length_mm == 451
    board.refresh_from_db()
    assert (board.remaining, board.remaining_cost) == (0, 0)
    assert board.piece.state == PieceState.USED


def test_a_pin_knot_as_normal_loss_falls_on_the_five_good_blanks(blanks):
    _, six, _ = blanks
    record_lost_part(lot=six[0], kind=Loss.NORMAL, why="pin knot", now=NOW)
    assert costs(six[0].material) == [
        Decimal(cost) for cost in ("15.75", "15.76", "15.75", "15.76", "15.75")
    ]
    six[0].refresh_from_db()
    assert (six[0].remaining_cost, six[0].piece.state) == (0, PieceState.REJECTED)


def test_a_pin_knot_as_abnormal_loss_goes_to_scrap(blanks):
    _, six, _ = blanks
    before = [lot.remaining_cost for lot in six[1:]]
    (entry,) = record_lost_part(lot=six[0], kind=Loss.ABNORMAL, why="pin knot", now=NOW)
    assert -entry.cost in {Decimal("13.12"), Decimal("13.13")}
    assert costs(six[0].material) == before


@pytest.fixture
def strings(workshop):
    prices = {"0.010": "0.85", "0.014": "0.85", "0.024 wound": "2.10", "0.036 wound": "2.10"}
    materials = [make_material(f"string {gauge}") for gauge in prices]
    receive_delivery(
        received_on=DAY,
        lines=[
            NewLine(material=material, quantity=Decimal(24), price=24 * Decimal(price))
            for material, price in zip(materials, prices.values(), strict=True)
        ],
        now=NOW,
    )
    recipe = Recipe.objects.create(material=make_material("Custom string set, 8"))
    for material in materials:
        RecipePart.objects.create(recipe=recipe, material=material, quantity=Decimal(2))
    return recipe, materials


def test_string_sets_are_made_up_at_the_cost_of_their_strings(strings):
    recipe, materials = strings
    held = Material.objects.filter(pk__in=[material.pk for material in materials])
    assert sum(material.book_cost for material in held) == Decimal("141.60")
    lot = make_kit(recipe=recipe, quantity=Decimal(5), now=NOW)
    lot.refresh_from_db()
    assert lot.remaining_cost == Decimal("59.00")
    scrap_stock(material=materials[0], quantity=Decimal(1), why="broke", now=NOW)
    left = [Material.objects.get(pk=material.pk) for material in materials]
    assert [material.on_hand for material in left] == [13, 14, 14, 14]
    assert sum(material.book_cost for material in left) == Decimal("81.75")
    found = still_makeable(recipes().get(pk=recipe.pk))
    assert (found.count, found.limited_by) == (6, ("string 0.010",))
