"""What takes stock that somebody else was promised is recorded, and marked to reconcile."""

from decimal import Decimal

import pytest

from inventory.cutting.calc.costs import Loss
from inventory.cutting.queries import CutPart
from inventory.cutting.services import cut_stock, record_lost_part
from inventory.kits.services import make_kit
from inventory.ledger.refusals import PieceNotFree
from inventory.ledger.services.reverse import reverse_entry, reverse_groups
from inventory.models import KeptAs, Recipe, RecipePart, StockEntry
from inventory.purchasing.services.deliveries import return_to_supplier
from inventory.reservations.services import reserve_stock
from inventory.shelf.services.moves import draw_stock, expire_lot, scrap_stock
from inventory.shelf.services.rack import judge_piece
from tests.factories import NOW, make_material
from tests.inventory.stocked import stocked, stocked_pieces

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("workshop")]
ONE = Decimal(1)


def promise(material, quantity=ONE, lot=None, holder="build:1"):
    return reserve_stock(
        material=material,
        quantity=Decimal(quantity),
        lot=lot,
        holder=holder,
        holder_name="Osric's mandolin",
        now=NOW,
    )


def waiting():
    return StockEntry.objects.filter(to_reconcile=True, reconciled_at=None)


PIECE_TAKEN = {
    "drawn for another": lambda lot: draw_stock(
        material=lot.material, quantity=ONE, lot=lot, holder="build:2", now=NOW
    ),
    "drawn for the shop": lambda lot: draw_stock(
        material=lot.material, quantity=ONE, lot=lot, holder="", now=NOW
    ),
    "scrapped": lambda lot: scrap_stock(
        material=lot.material, quantity=ONE, lot=lot, why="cracked", now=NOW
    ),
    "lost": lambda lot: record_lost_part(lot=lot, kind=Loss.ABNORMAL, why="knot", now=NOW),
    "cut": lambda lot: cut_stock(
        lot=lot, parts=[CutPart(material=lot.material, measure=ONE)], usable=ONE, now=NOW
    ),
    "sent back": lambda lot: return_to_supplier(lot=lot, quantity=ONE, credit=ONE, now=NOW),
    "its receipt corrected": lambda lot: reverse_entry(entry=lot.entries.get(), now=NOW),
}


@pytest.mark.parametrize("how", PIECE_TAKEN)
def test_a_piece_promised_to_another_is_marked_whatever_takes_it(how):
    material, (lot, _) = stocked_pieces()
    promise(material, lot=lot)
    PIECE_TAKEN[how](lot)
    assert waiting().get().lot == lot


@pytest.mark.parametrize("how", ["scrapped", "cut", "sent back"])
def test_a_piece_promised_to_nobody_is_not_marked(how):
    material, (lot, other) = stocked_pieces()
    promise(material, lot=other)
    PIECE_TAKEN[how](lot)
    assert not waiting().exists()


def made_up(material):
    recipe = Recipe.objects.create(material=make_material("kit"))
    RecipePart.objects.create(recipe=recipe, material=material, quantity=Decimal(3))
    make_kit(recipe=recipe, quantity=ONE, now=NOW)


THREE_TAKEN = {
    "drawn for another": lambda row: draw_stock(
        material=row, quantity=Decimal(3), holder="build:2", now=NOW
    ),
    "scrapped": lambda row: scrap_stock(material=row, quantity=Decimal(3), why="bent", now=NOW),
    "made": made_up,
    "cut": lambda row: cut_stock(
        lot=row.lots.get(),
        parts=[CutPart(material=make_material(), measure=ONE)],
        usable=ONE,
        quantity=Decimal(3),
        now=NOW,
    ),
    "sent back": lambda row: return_to_supplier(
        lot=row.lots.get(), quantity=Decimal(3), credit=ONE, now=NOW
    ),
    "written off": lambda row: expire_lot(lot=row.lots.get(), now=NOW),
}


@pytest.mark.parametrize("how", THREE_TAKEN)
def test_a_quantity_is_marked_once_less_is_left_than_others_were_promised(how):
    material = stocked(quantity=10)
    promise(material, 8)
    THREE_TAKEN[how](material)
    assert waiting().get().material == material


@pytest.mark.parametrize("how", ["drawn for another", "scrapped", "made", "cut"])
def test_a_quantity_that_was_free_is_not_marked(how):
    material = stocked(quantity=10)
    promise(material, 7)
    THREE_TAKEN[how](material)
    assert not waiting().exists()


def test_a_holder_draws_its_own_promise_however_much_others_were_promised():
    material = stocked(quantity=10)
    promise(material, 4, holder="build:2")
    promise(material, 6)
    scrap_stock(material=material, quantity=ONE, why="bent", now=NOW)
    waiting().update(reconciled_at=NOW)
    draw_stock(material=material, quantity=Decimal(4), holder="build:2", now=NOW)
    assert not waiting().exists()


def test_a_loss_is_marked_even_if_it_is_told_of_the_holder_that_was_promised_something():
    material = stocked(kept_as=KeptAs.LENGTH, quantity=1000, unit="mm")
    promise(material, 400, holder="build:1")
    promise(material, 600, holder="build:2")
    scrap_stock(material=material, quantity=Decimal(500), why="bent", holder="build:1", now=NOW)
    assert waiting().exists()


def test_a_reserved_piece_that_is_rejected_is_counted_once_and_leaves_the_other_to_be_reserved():
    """Two ribs, one reserved and then rejected: 2 on hand less 1 unfit leave 1, which is free."""
    material, (pair, other) = stocked_pieces()
    promise(material, lot=pair)
    judge_piece(lot=pair, verdict="rejected", why="worm", now=NOW)
    material.refresh_from_db()
    assert (material.on_hand, material.unfit, material.promised, material.free) == (2, 1, 0, 1)
    promise(material, lot=other, holder="build:2")
    material.refresh_from_db()
    assert material.free == 0


def test_a_reserved_piece_that_is_gone_leaves_the_other_to_be_reserved():
    material, (lot, other) = stocked_pieces()
    promise(material, lot=lot)
    scrap_stock(material=material, quantity=ONE, lot=lot, why="cracked", now=NOW)
    promise(material, lot=other, holder="build:2")
    material.refresh_from_db()
    assert (material.promised, material.free) == (1, 0)


def test_a_rejection_that_is_reversed_gives_the_reservation_its_piece_back():
    material, (pair, _) = stocked_pieces()
    promise(material, lot=pair)
    entry = judge_piece(lot=pair, verdict="rejected", why="worm", now=NOW)
    reverse_groups(entries=[entry], now=NOW)
    material.refresh_from_db()
    assert (material.unfit, material.promised, material.free) == (0, 1, 1)
    with pytest.raises(PieceNotFree, match=r"is reserved for Osric's mandolin"):
        promise(material, lot=pair, holder="build:2")


def test_a_draw_of_another_piece_breaks_no_reservation_of_a_rejected_one():
    material, (pair, other) = stocked_pieces()
    promise(material, lot=pair)
    judge_piece(lot=pair, verdict="rejected", why="worm", now=NOW)
    waiting().update(reconciled_at=NOW)
    draw_stock(material=material, quantity=ONE, lot=other, holder="build:2", now=NOW)
    assert not waiting().exists()


def test_a_draw_without_a_number_takes_a_fit_piece_before_the_own_rejected_one():
    material, (pair, other) = stocked_pieces()
    promise(material, lot=pair)
    judge_piece(lot=pair, verdict="rejected", why="worm", now=NOW)
    (entry,) = draw_stock(material=material, quantity=ONE, holder="build:1", now=NOW)
    assert entry.lot == other


def test_a_rejection_is_marked_once_fewer_are_fit_than_were_reserved_by_the_number():
    material, (pair, _) = stocked_pieces()
    promise(material, 2)
    judge_piece(lot=pair, verdict="rejected", why="worm", now=NOW)
    assert waiting().get().lot == pair
