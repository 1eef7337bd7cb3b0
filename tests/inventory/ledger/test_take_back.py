"""What was done at once is taken back at once, or not at all."""

from decimal import Decimal

import pytest

from inventory.base.refusals import Refusal
from inventory.counting.services import count_stock
from inventory.cutting.queries import CutPart
from inventory.cutting.services import cut_stock
from inventory.kits.services import make_kit
from inventory.ledger.services.reverse import reverse_entry, reverse_groups
from inventory.models import Credit, KeptAs, Lot, Material, PieceState, Recipe, RecipePart
from inventory.purchasing.queries.orders import open_credits
from inventory.purchasing.services.deliveries import return_to_supplier, settle_credit
from inventory.reservations.services import reserve_stock
from inventory.shelf.services.moves import draw_stock, scrap_stock
from tests.factories import NOW, TODAY, make_material, make_supplier
from tests.inventory.stocked import stocked, stocked_pieces

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("workshop")]


def state_of(lot):
    lot.refresh_from_db()
    lot.piece.refresh_from_db()
    return lot.remaining, lot.remaining_cost, lot.piece.state


def cut_board(parts=2):
    """Return a board of 20.00 and what was cut from it."""
    material, (board,) = stocked_pieces(1)
    blank = make_material("neck blank", kept_as=KeptAs.PIECE)
    made = cut_stock(
        lot=board,
        parts=[CutPart(material=blank, measure=Decimal(600))] * parts,
        remnants=[CutPart(material=material, measure=Decimal(800))],
        usable=Decimal(2000),
        now=NOW,
    )
    return board, made


def last_entry(lot):
    return lot.entries.order_by("pk").last()


def promise(lot, holder="build:1"):
    return reserve_stock(
        material=lot.material,
        quantity=Decimal(1),
        lot=lot,
        holder=holder,
        holder_name="Osric's mandolin",
        now=NOW,
    )


def test_a_cut_is_taken_back_as_a_whole_and_the_board_seasons_on():
    board, made = cut_board()
    reverse_groups(entries=[last_entry(made[0])], now=NOW)
    assert state_of(board) == (1, Decimal("20.00"), PieceState.SEASONING)
    assert {state_of(lot) for lot in made} == {(0, 0, PieceState.UNDONE)}


@pytest.mark.parametrize("use", ["drawn", "scrapped", "promised", "cut on", "lost"])
def test_a_cut_stays_when_a_part_of_it_was_used_meanwhile(use):
    board, made = cut_board()
    one = Lot.objects.get(pk=made[0].pk)
    if use == "drawn":
        draw_stock(material=one.material, quantity=Decimal(1), lot=one, holder="build:1", now=NOW)
    elif use == "promised":
        promise(one)
    elif use == "cut on":
        parts = [CutPart(material=one.material, measure=Decimal(1))]
        cut_stock(lot=one, parts=parts, usable=Decimal(1), now=NOW)
    else:
        scrap_stock(material=one.material, quantity=Decimal(1), lot=one, why="knot", now=NOW)
    with pytest.raises(Refusal, match=one.number):
        reverse_groups(entries=[last_entry(board)], now=NOW)
    assert state_of(board) == (0, 0, PieceState.USED)
    assert state_of(made[1])[0] == 1


def test_a_cut_is_taken_back_once():
    board, _ = cut_board()
    first = last_entry(board)
    reverse_groups(entries=[first], now=NOW)
    with pytest.raises(Refusal, match="already"):
        reverse_groups(entries=[first], now=NOW)


def test_a_part_of_a_cut_is_not_corrected_by_itself():
    _, made = cut_board()
    with pytest.raises(Refusal, match="reverse everything"):
        reverse_entry(entry=last_entry(made[0]), now=NOW)


def test_taking_back_is_not_taken_back():
    board, _ = cut_board()
    counters = reverse_groups(entries=[last_entry(board)], now=NOW)
    with pytest.raises(Refusal, match="can't be reversed"):
        reverse_groups(entries=[counters[0]], now=NOW)


def test_a_board_that_was_found_again_is_not_there_twice():
    board, _ = cut_board()
    cut = last_entry(board)
    count_stock(material=board.material, lot=board, counted=Decimal(1), now=NOW)
    with pytest.raises(Refusal, match="already back in stock"):
        reverse_groups(entries=[cut], now=NOW)


def sets_made_up():
    singles = stocked(quantity=10, price="10.00")
    sets = make_material("string sets")
    recipe = Recipe.objects.create(material=sets)
    RecipePart.objects.create(recipe=recipe, material=singles, quantity=Decimal(2))
    return singles, make_kit(recipe=recipe, quantity=Decimal(3), now=NOW)


def test_a_make_up_is_taken_back_and_its_parts_are_on_the_shelf_again():
    singles, lot = sets_made_up()
    reverse_groups(entries=[last_entry(lot)], now=NOW)
    singles.refresh_from_db()
    lot.refresh_from_db()
    assert (singles.on_hand, singles.book_cost) == (10, Decimal("10.00"))
    assert (lot.remaining, lot.remaining_cost) == (0, 0)


def test_a_make_up_stays_once_one_of_it_was_drawn_or_is_promised():
    singles, lot = sets_made_up()
    reserve_stock(
        material=lot.material,
        quantity=Decimal(1),
        holder="build:1",
        holder_name="Osric's mandolin",
        now=NOW,
    )
    with pytest.raises(Refusal, match="reservation"):
        reverse_groups(entries=[last_entry(lot)], now=NOW)
    draw_stock(material=lot.material, quantity=Decimal(1), holder="build:1", now=NOW)
    with pytest.raises(Refusal, match="later entries"):
        reverse_groups(entries=[lot.entries.earliest("pk")], now=NOW)
    assert Material.objects.get(pk=singles.pk).on_hand == 4


def returned_set():
    """Return six sets of 208.33 as in the second walk-through, the fourth sent back for 32.00."""
    _, lots = stocked_pieces(6, price="208.33")
    Lot.objects.update(supplier=make_supplier())
    reject = Lot.objects.get(pk=lots[3].pk)
    return (
        lots,
        reject,
        return_to_supplier(lot=reject, quantity=Decimal(1), credit=Decimal(32), now=NOW),
    )


def test_a_sending_back_is_taken_back_with_the_cost_it_left_on_its_sisters():
    lots, reject, entry = returned_set()
    before = [Decimal("34.72"), Decimal("34.72"), Decimal("34.73")]
    assert len(open_credits()) == 1
    reverse_groups(entries=[entry], now=NOW)
    costs = [Lot.objects.get(pk=lot.pk).remaining_cost for lot in lots]
    assert sum(costs) == Decimal("208.33")
    assert set(costs) <= set(before)
    assert state_of(reject)[2] == PieceState.SEASONING
    assert open_credits() == []


def test_a_sending_back_stays_once_its_credit_was_settled_or_a_sister_was_used():
    lots, _, entry = returned_set()
    sister = lots[0]
    draws = draw_stock(
        material=sister.material, quantity=Decimal(1), lot=sister, holder="build:1", now=NOW
    )
    with pytest.raises(Refusal, match=sister.number):
        reverse_groups(entries=[entry], now=NOW)
    reverse_groups(entries=draws, now=NOW)
    settle_credit(credit=Credit.objects.get(), on=TODAY)
    with pytest.raises(Refusal, match="credit"):
        reverse_groups(entries=[entry], now=NOW)


def test_no_credit_is_settled_for_what_was_taken_back():
    _, _, entry = returned_set()
    reverse_groups(entries=[entry], now=NOW)
    with pytest.raises(Refusal, match="reversed"):
        settle_credit(credit=Credit.objects.get(), on=TODAY)


def test_a_draw_that_is_undone_leaves_wood_as_dry_as_it_was():
    material, (lot, _) = stocked_pieces()
    draws = draw_stock(material=material, quantity=Decimal(1), lot=lot, holder="build:1", now=NOW)
    assert state_of(lot)[2] == PieceState.DRAWN
    reverse_groups(entries=draws, now=NOW)
    assert state_of(lot)[2] == PieceState.SEASONING
