"""Selling, splitting and judging what lies in the rack, and what is ordered for it."""

from decimal import Decimal

import pytest

from inventory.base.refusals import Refusal
from inventory.ledger.refusals import NotEnoughStock, PieceNotFree
from inventory.ledger.services.incoming import NewLine
from inventory.ledger.services.issue import mark_consumed
from inventory.ledger.services.reverse import reverse_groups
from inventory.models import KeptAs, Lot, Material, Piece, PieceState, Sale, StockEntry
from inventory.purchasing.queries.orders import coming
from inventory.purchasing.services.deliveries import receive_delivery
from inventory.purchasing.services.orders import ToOrder, make_orders, send_order
from inventory.reservations.services import reserve_stock
from inventory.shelf.queries.value import sales_between
from inventory.shelf.services.moves import draw_stock, return_stock
from inventory.shelf.services.rack import judge_piece, sell_stock, split_set
from tests.factories import NOW, TODAY, make_material, make_supplier
from tests.inventory.stocked import stocked, stocked_pieces

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("workshop")]
ONE = Decimal(1)


def state(lot):
    return Piece.objects.get(pk=lot.pk).state


def bookmatched(price="34.73", parts=2):
    """Return the lots of two sets, the first a matched pair with the mass of each half."""
    _, lots = stocked_pieces(2, price=Decimal(price) * 2)
    Piece.objects.filter(pk=lots[0].pk).update(parts=parts, part_masses="434 433.5", is_ready=True)
    return lots


def promise(material, lot=None):
    return reserve_stock(
        material=material, quantity=ONE, lot=lot, holder="build:1", holder_name="A", now=NOW
    )


def test_a_pair_is_split_into_halves_that_share_its_cost_and_stay_sisters():
    pair, _ = bookmatched()
    halves = [Lot.objects.get(pk=lot.pk) for lot in split_set(lot=pair, now=NOW)]
    assert [lot.number for lot in halves] == [f"{pair.number}A", f"{pair.number}B"]
    assert [lot.remaining_cost for lot in halves] == [Decimal("17.37"), Decimal("17.36")]
    assert [lot.piece.mass_g for lot in halves] == [Decimal(434), Decimal("433.5")]
    assert {lot.cut_from_id for lot in halves} == {pair.pk}
    assert [state(lot) for lot in halves] == [PieceState.HALF] * 2
    assert state(pair) == PieceState.USED


def test_half_a_set_is_on_the_shelf_but_nobody_is_promised_it_as_a_whole_one():
    pair, _ = bookmatched()
    half = split_set(lot=pair, now=NOW)[0]
    material = Material.objects.get(pk=pair.material_id)
    assert (material.on_hand, material.unfit, material.free) == (3, 2, 1)
    with pytest.raises(PieceNotFree, match="half set"):
        promise(material, half)
    promise(material)
    with pytest.raises(NotEnoughStock):
        promise(material)


def test_a_half_that_is_drawn_leaves_the_other_in_the_rack():
    pair, _ = bookmatched()
    left, right = split_set(lot=pair, now=NOW)
    draw_stock(material=pair.material, quantity=ONE, lot=left, holder="build:1", now=NOW)
    assert (state(left), state(right)) == (PieceState.DRAWN, PieceState.HALF)
    with pytest.raises(Refusal, match=left.number):
        reverse_groups(entries=list(right.entries.all()), now=NOW)


def test_halves_are_joined_again_and_split_anew_under_the_same_numbers():
    pair, _ = bookmatched()
    halves = split_set(lot=pair, now=NOW)
    reverse_groups(entries=list(halves[1].entries.all()), now=NOW)
    pair.refresh_from_db()
    assert (pair.remaining, pair.remaining_cost, state(pair)) == (
        1,
        Decimal("34.73"),
        PieceState.READY,
    )
    assert Material.objects.get(pk=pair.material_id).unfit == 0
    again = split_set(lot=pair, now=NOW)
    assert [lot.pk for lot in again] == [lot.pk for lot in halves]
    assert sum(Lot.objects.get(pk=lot.pk).remaining_cost for lot in again) == Decimal("34.73")


def test_only_a_set_on_the_shelf_is_split():
    pair, single = bookmatched()
    with pytest.raises(Refusal, match="not a set"):
        split_set(lot=single, now=NOW)
    draw_stock(material=pair.material, quantity=ONE, lot=pair, holder="build:1", now=NOW)
    with pytest.raises(Refusal, match="is drawn"):
        split_set(lot=pair, now=NOW)
    with pytest.raises(Refusal, match="not a set"):
        split_set(lot=stocked().lots.get(), now=NOW)


def sell(material, quantity=1, lot=None, price="60.00"):
    return sell_stock(
        material=material,
        quantity=Decimal(quantity),
        lot=lot,
        to="Osric Pondweed",
        price=Decimal(price),
        now=NOW,
    )


def sold():
    return [(row.quantity, row.cost, row.gain) for row in sales_between(NOW, NOW)]


def test_what_is_sold_leaves_at_its_cost_and_keeps_what_it_fetched():
    material, (lot, _) = stocked_pieces(2, price="69.46")
    sale = sell(material, lot=lot)
    assert (sale.entry.cost, sale.price, sale.to) == (
        Decimal("-34.73"),
        Decimal("60.00"),
        "Osric Pondweed",
    )
    assert state(lot) == PieceState.SOLD
    assert sold() == [(1, Decimal("34.73"), Decimal("25.27"))]


def test_a_sale_from_several_lots_is_one_sale_and_is_taken_back_as_one():
    material = stocked(quantity=3, price="3.00")
    stocked(quantity=3, price="6.00", material=material)
    sale = sell(material, 5, price="4.00")
    assert sold() == [(5, Decimal("7.00"), Decimal("-3.00"))]
    reverse_groups(entries=[sale.entry], now=NOW)
    material.refresh_from_db()
    assert (material.on_hand, material.book_cost) == (6, Decimal("9.00"))
    assert sold() == []
    assert Sale.objects.get().price == Decimal("4.00")


@pytest.mark.parametrize(
    ("change", "words"), [({"to": " "}, "Enter the buyer"), ({"price": -ONE}, "0 or")]
)
def test_a_sale_names_its_buyer_and_an_amount(change, words):
    asked = {"to": "Osric", "price": ONE, **change}
    with pytest.raises(Refusal, match=words):
        sell_stock(material=stocked(), quantity=ONE, now=NOW, **asked)


def test_selling_what_was_promised_is_recorded_and_marked():
    material, (lot, _) = stocked_pieces()
    promise(material, lot)
    assert sell(material, lot=lot).entry.to_reconcile


def judge(lot, verdict="downgraded"):
    return judge_piece(lot=lot, verdict=verdict, why="run-out", now=NOW)


def test_a_judged_piece_stays_at_its_cost_and_is_promised_to_nobody():
    material, (lot, _) = stocked_pieces(2, price="40.00")
    entry = judge(lot)
    material.refresh_from_db()
    assert (material.on_hand, material.free, material.book_cost) == (2, 1, Decimal("40.00"))
    assert (state(lot), entry.note) == (PieceState.DOWNGRADED, "run-out")
    with pytest.raises(PieceNotFree, match="downgraded"):
        promise(material, lot)


def test_a_verdict_is_taken_back_to_the_one_before_it():
    material, (lot, _) = stocked_pieces()
    first, second = judge(lot), judge(lot, "rejected")
    assert state(lot) == PieceState.REJECTED
    reverse_groups(entries=[second], now=NOW)
    assert state(lot) == PieceState.DOWNGRADED
    reverse_groups(entries=[first], now=NOW)
    assert state(lot) == PieceState.SEASONING
    material.refresh_from_db()
    assert material.unfit == 0


def test_a_promised_piece_that_is_rejected_breaks_its_promise():
    material, (lot, _) = stocked_pieces()
    promise(material, lot)
    assert StockEntry.objects.get(pk=judge(lot, "rejected").pk).to_reconcile


@pytest.mark.parametrize(
    ("change", "words"),
    [({"verdict": "sold"}, "downgraded or rejected"), ({"why": " "}, "Enter a reason")],
)
def test_a_verdict_is_one_of_two_and_has_a_reason(change, words):
    _, (lot, _) = stocked_pieces()
    with pytest.raises(Refusal, match=words):
        judge_piece(lot=lot, now=NOW, **{"verdict": "rejected", "why": "worm", **change})


def test_only_a_piece_on_the_shelf_is_judged_and_once():
    material, (lot, other) = stocked_pieces()
    judge(lot)
    with pytest.raises(Refusal, match="already"):
        judge(lot)
    draw_stock(material=material, quantity=ONE, lot=other, holder="", now=NOW)
    with pytest.raises(Refusal, match="not a piece in stock"):
        judge(other)


def test_drawn_wood_is_used_once_the_holder_is_done_unless_it_came_back():
    material, lots = stocked_pieces(3)
    for lot in lots[:2]:
        draw_stock(material=material, quantity=ONE, lot=lot, holder="build:1", now=NOW)
    return_stock(entry=lots[1].entries.order_by("pk").last(), quantity=ONE, now=NOW)
    draw_stock(material=material, quantity=ONE, lot=lots[1], holder="build:2", now=NOW)
    mark_consumed(holder="build:1", now=NOW)
    assert [state(lot) for lot in lots] == [
        PieceState.USED,
        PieceState.DRAWN,
        PieceState.SEASONING,
    ]
    assert mark_consumed(holder="build:1", now=NOW) == []


def test_wood_on_a_sent_sheet_is_ordered_until_it_is_here():
    supplier = make_supplier(lead_time_days=14)
    material = make_material(kept_as=KeptAs.PIECE, supplier=supplier)
    line = ToOrder(material=material, quantity=Decimal(6), price=Decimal(32))
    (order,) = make_orders(lines=[line], on=TODAY)
    assert coming(material) == []
    send_order(order=order, on=TODAY)
    (one,) = coming(material)
    assert (one.quantity, (one.expected_on - TODAY).days) == (6, 14)
    for quantity, left in ((4, [2]), (2, [])):
        arrived = NewLine(
            material=material,
            quantity=Decimal(quantity),
            price=Decimal(32),
            order_line=order.lines.get(),
        )
        receive_delivery(received_on=TODAY, lines=[arrived], now=NOW)
        assert [row.quantity for row in coming(material)] == left
    reverse_groups(entries=list(StockEntry.objects.filter(material=material)[:1]), now=NOW)
    assert [row.quantity for row in coming(material)] == [1]


def test_of_pieces_the_holder_s_own_is_taken_first_then_a_free_one_and_another_s_last():
    material, lots = stocked_pieces(4)
    others, unfit, free, own = lots
    reserve_stock(
        material=material, quantity=ONE, lot=others, holder="build:2", holder_name="B", now=NOW
    )
    promise(material, own)
    judge(unfit)
    for expected, waits in ((own, False), (free, False), (unfit, False), (others, True)):
        (entry,) = draw_stock(material=material, quantity=ONE, holder="build:1", now=NOW)
        assert (entry.lot, entry.to_reconcile) == (expected, waits)
