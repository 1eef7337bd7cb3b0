"""Selling, splitting and judging on the pages, and what they then show."""

from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.models import Lot, Piece, PieceState, Sale
from inventory.purchasing.services.orders import ToOrder, make_orders, send_order
from inventory.reservations.services import reserve_stock
from inventory.shelf.services.rack import sell_stock
from tests.factories import NOW, TODAY, make_material, make_supplier
from tests.inventory.stocked import stocked, stocked_pieces


@pytest.fixture
def pair(workshop):
    """A matched pair of 34.73, the first of two sets."""
    _, (lot, _) = stocked_pieces(2, price="69.46")
    Piece.objects.filter(pk=lot.pk).update(parts=2)
    return lot


def text_of(desk, name, *args):
    return desk.get(reverse(name, args=args)).content.decode()


def test_a_set_is_split_and_joined_again_from_its_pages(desk, pair):
    assert reverse("split_set", args=[pair.number]) in text_of(desk, "piece", pair.number)
    desk.post(reverse("split_set", args=[pair.number]), {"why": "one half is for a friend"})
    page = text_of(desk, "piece", f"{pair.number}A")
    assert "half set" in page
    assert "Reverse split" in page
    split = Lot.objects.get(number=f"{pair.number}B").entries.get()
    desk.post(reverse("reverse_entry", args=[split.pk]), {"why": "not needed"})
    pair.refresh_from_db()
    assert (pair.remaining, pair.remaining_cost) == (1, Decimal("34.73"))


def test_a_half_is_found_by_its_number_and_with_its_set_by_digits(desk, pair):
    desk.post(reverse("split_set", args=[pair.number]), {"why": ""})
    digits = pair.number.split("-")[1].lstrip("0")
    answer = desk.get(reverse("piece", args=[f"t{digits}a"]))
    assert answer.url == reverse("piece", args=[f"{pair.number}A"])
    found = desk.get(reverse("stock"), {"q": digits}).context["numbered"]
    assert {lot.number for lot in found} >= {pair.number, f"{pair.number}A", f"{pair.number}B"}


def test_a_sale_is_shown_in_the_journal_with_the_value_and_in_the_export(desk, pair):
    address = reverse("sell_material", args=[pair.material_id])
    data = {"quantity": "1", "lot": pair.pk, "to": "Osric Pondweed", "price": "60.00"}
    answer = desk.post(f"{address}?lot={pair.number}", data, follow=True)
    assert (
        'sold for <span class="money" data-currency="EUR">60.00</span> net'
        in answer.content.decode()
    )
    day = desk.get(reverse("stock_value")).context
    assert (day["fetched"], day["sold_cost"], day["gain"]) == (
        Decimal("60.00"),
        Decimal("34.73"),
        Decimal("25.27"),
    )
    table = desk.get(reverse("stock_journal_file", args=["csv"])).getvalue().decode("utf-8-sig")
    sold = next(line for line in table.splitlines() if ",sold," in line)
    assert ",-34.73,60," in sold
    (notice,) = answer.context["messages"]
    desk.post(notice.extra_tags)
    assert desk.get(reverse("stock_value")).context["sold"] == []


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"to": ""}, "required"),
        ({"price": "-1"}, "0"),
        ({"quantity": "2"}, "A piece is a single item"),
    ],
)
def test_a_sale_that_can_t_be_read_is_said_and_not_done(desk, pair, change, words):
    data = {"quantity": "1", "lot": pair.pk, "to": "Osric", "price": "60.00", **change}
    answer = desk.post(reverse("sell_material", args=[pair.material_id]), data)
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not Sale.objects.exists()


def test_a_piece_is_judged_with_a_reason_and_the_verdict_undone(desk, pair):
    data = {"verdict": "rejected", "why": "pitch pocket"}
    answer = desk.post(reverse("judge_piece", args=[pair.number]), data, follow=True)
    assert "pitch pocket" in answer.content.decode()
    assert Piece.objects.get(pk=pair.pk).state == PieceState.REJECTED
    assert "less rejected, downgraded and half sets" in text_of(desk, "material", pair.material_id)
    (notice,) = answer.context["messages"]
    desk.post(notice.extra_tags)
    assert Piece.objects.get(pk=pair.pk).state == PieceState.SEASONING


def test_what_is_no_piece_is_neither_split_nor_judged(desk):
    lot = stocked().lots.get()
    for name in ("split_set", "judge_piece"):
        assert desk.get(reverse(name, args=[lot.number])).status_code == 404


def test_what_is_ordered_is_shown_with_its_sheet_and_day(desk):
    material = make_material(supplier=make_supplier())
    line = ToOrder(material=material, quantity=Decimal(6), price=Decimal(32))
    (order,) = make_orders(lines=[line], on=TODAY)
    assert order.number not in text_of(desk, "material", material.pk)
    send_order(order=order, on=TODAY)
    page = text_of(desk, "material", material.pk)
    assert order.number in page
    assert "Expected" in page


def test_a_piece_that_was_promised_and_sold_says_both(desk, pair):
    reserve_stock(
        material=pair.material,
        quantity=Decimal(1),
        lot=pair,
        holder="build:1",
        holder_name="Osric's mandolin",
        now=NOW,
    )
    sell_stock(
        material=pair.material, quantity=Decimal(1), lot=pair, to="Lune", price=Decimal(1), now=NOW
    )
    page = text_of(desk, "piece", pair.number)
    assert "(was reserved for Osric&#x27;s mandolin)" in page
    assert "was reserved for Osric" in text_of(desk, "to_reconcile")


def test_a_form_that_offers_pieces_says_which_are_promised_or_unfit(desk, pair):
    desk.post(reverse("split_set", args=[pair.number]), {"why": ""})
    other = pair.material.lots.exclude(number__startswith=pair.number).get()
    reserve_stock(
        material=pair.material,
        quantity=Decimal(1),
        lot=other,
        holder="build:1",
        holder_name="Osric's mandolin",
        now=NOW,
    )
    page = text_of(desk, "draw_material", pair.material_id)
    assert f"{pair.number}A, half set" in page
    assert f"{other.number}, drying, reserved for Osric&#x27;s mandolin" in page
