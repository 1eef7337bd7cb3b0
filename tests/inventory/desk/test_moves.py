"""Drawing, scrapping, counting, bringing back, correcting and undoing on pages."""

from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.models import KeptAs, PieceState, Reason
from inventory.reservations.services import reserve_stock
from inventory.shelf.services.moves import draw_stock
from tests.factories import NOW
from tests.inventory.stocked import stocked, stocked_pieces


def address(name, material):
    return reverse(name, args=[material.pk])


def on_hand(material):
    material.refresh_from_db()
    return material.on_hand


def test_a_draw_is_typed_in_the_material_s_unit_and_can_be_undone(desk):
    wire = stocked(KeptAs.LENGTH, 6000, unit="m")
    answer = desk.post(address("draw_material", wire), {"quantity": "1.05"}, follow=True)
    assert on_hand(wire) == 4950
    assert "Drawn: 1.05 m" in answer.content.decode()
    undo = next(iter(answer.context["messages"])).extra_tags
    desk.post(undo)
    assert on_hand(wire) == 6000


def test_undoing_twice_says_that_it_was_undone(desk):
    material = stocked()
    draw_stock(material=material, quantity=Decimal(1), holder="", now=NOW)
    undo = reverse("reverse_groups", args=[str(material.entries.first().pk)])
    desk.post(undo)
    page = desk.post(undo, follow=True).content.decode()
    assert "already been reversed or returned" in page
    assert on_hand(material) == 10


@pytest.mark.parametrize("keys", ["nothing", "999", "1-x", "9" * 30])
def test_an_undo_of_nothing_is_not_found(desk, keys):
    assert desk.post(reverse("reverse_groups", args=[keys])).status_code == 404


def test_a_draw_for_a_build_uses_up_its_promise(desk):
    material = stocked()
    ask = {"material": material, "quantity": Decimal(4), "now": NOW}
    promise = reserve_stock(holder="build:1", holder_name="2027-01", **ask)
    desk.post(address("draw_material", material), {"quantity": "3", "holder": "build:1"})
    promise.refresh_from_db()
    assert promise.outstanding == 1


def test_what_the_books_lack_is_drawn_all_the_same(desk):
    material = stocked(quantity=1)
    desk.post(address("draw_material", material), {"quantity": "3"})
    assert on_hand(material) == -2
    assert "Count it to reconcile" in desk.get(address("material", material)).content.decode()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({"quantity": ""}, "This is needed: fill it in"),
        ({"quantity": "0"}, "The quantity must be above 0"),
        ({"quantity": "-1"}, "is not a quantity"),
        ({"quantity": "a few"}, "is not a quantity"),
        ({"quantity": "1", "holder": "build:404"}, "not on the list"),
        ({"quantity": "1", "lot": "404"}, "not on the list"),
    ],
)
def test_a_draw_that_can_t_be_read_is_said_and_not_done(desk, data, words):
    material = stocked()
    answer = desk.post(address("draw_material", material), data)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert on_hand(material) == 10


def test_one_piece_is_not_drawn_twice_over(desk):
    material, (lot, _) = stocked_pieces()
    answer = desk.post(address("draw_material", material), {"quantity": "2", "lot": lot.pk})
    assert answer.status_code == 422
    assert on_hand(material) == 2


def test_half_a_piece_is_refused_beside_its_field(desk):
    material, _ = stocked_pieces()
    answer = desk.post(address("draw_material", material), {"quantity": "1.5"})
    assert answer.status_code == 409
    assert "enter a whole number" in answer.content.decode()


def test_a_piece_is_scrapped_from_its_own_page_with_a_reason(desk):
    material, (lot, _) = stocked_pieces()
    data = {"quantity": "1", "lot": lot.pk, "why": "run-out"}
    desk.post(f"{address('scrap_material', material)}?lot={lot.number}", data)
    lot.piece.refresh_from_db()
    assert lot.piece.state == PieceState.REJECTED


def test_scrap_without_a_reason_is_not_done(desk):
    material = stocked()
    answer = desk.post(address("scrap_material", material), {"quantity": "1", "why": " "})
    assert answer.status_code == 422
    assert on_hand(material) == 10


def test_a_count_settles_what_waits(desk):
    material = stocked(quantity=1)
    draw_stock(material=material, quantity=Decimal(3), holder="build:1", now=NOW)
    desk.post(address("count_material", material), {"counted": "4"})
    assert on_hand(material) == 4
    assert not material.entries.filter(to_reconcile=True, reconciled_at=None).exists()


def test_a_draw_comes_back_in_part_and_no_more_than_was_drawn(desk):
    material = stocked()
    entry = draw_stock(material=material, quantity=Decimal(4), holder="build:1", now=NOW)[0]
    back = reverse("bring_back", args=[entry.pk])
    desk.post(back, {"quantity": "3"})
    assert on_hand(material) == 9
    answer = desk.post(back, {"quantity": "2"})
    assert answer.status_code == 409
    assert "what is still out: 1 of this draw" in answer.content.decode()


def test_an_entry_is_corrected_with_its_reason_beside_it(desk):
    material = stocked()
    entry = draw_stock(material=material, quantity=Decimal(4), holder="build:1", now=NOW)[0]
    desk.post(reverse("reverse_entry", args=[entry.pk]), {"why": "typed twice"})
    counter = material.entries.get(reason=Reason.CORRECTED)
    assert (counter.note, counter.about, on_hand(material)) == ("typed twice", entry, 10)


def test_a_piece_goes_back_for_a_credit(desk):
    _, (lot, _) = stocked_pieces(price="64.00")
    address = reverse("return_to_supplier", args=[lot.number])
    assert "added to the rest of the delivery" in desk.get(address).content.decode()
    data = {"quantity": "1", "credit": "32.00", "why": "run-out"}
    page = desk.post(address, data, follow=True).content.decode()
    assert "It has no supplier" in page
    lot.refresh_from_db()
    assert (lot.remaining, lot.piece.state) == (0, PieceState.RETURNED)


@pytest.mark.parametrize("credit", ["", "-1", "0.001", "1e20", "nan"])
def test_a_credit_is_an_amount_of_money(desk, credit):
    _, (lot, _) = stocked_pieces()
    data = {"quantity": "1", "credit": credit, "why": "run-out"}
    assert desk.post(reverse("return_to_supplier", args=[lot.number]), data).status_code == 422
