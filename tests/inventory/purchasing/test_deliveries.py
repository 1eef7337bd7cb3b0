"""Booking in a delivery on its page."""

from datetime import date
from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.ledger.services.incoming import NewLine
from inventory.models import Delivery, DeliveryLine, KeptAs, Lot
from inventory.purchasing.services.deliveries import receive_delivery
from inventory.shelf.services.moves import draw_stock
from tests.factories import NOW, make_material, make_supplier
from tests.inventory.stocked import stocked

HEAD = {"received_on": "2027-03-09", "carriage": "24.00", "duty": "", "share_by": "value"}


def lines(*rows):
    data = {"form-TOTAL_FORMS": str(len(rows)), "form-INITIAL_FORMS": "0"}
    for position, row in enumerate(rows):
        data |= {f"form-{position}-{name}": value for name, value in row.items()}
    return data


@pytest.fixture
def spruce(workshop):
    return make_material("Sitka spruce top, mandolin", KeptAs.PIECE)


@pytest.fixture
def two_lines(spruce):
    make_material("Maple board, 52 mm", KeptAs.PIECE)
    return lines(
        {
            "material": "sitka spruce top, mandolin",
            "quantity": "6",
            "price": "192.00",
            "size": "430 × 150 × 17.5",
            "parts": "2",
            "masses": "868 842 905 801 930 877",
        },
        {"material": "Maple board, 52 mm", "quantity": "1", "price": "90.11"},
    )


def test_the_landed_cost_is_shown_before_anything_is_booked(desk, two_lines):
    page = desk.post(reverse("new_delivery"), {**HEAD, **two_lines, "look": ""})
    assert "208.33" in page.content.decode()
    assert "97.78" in page.content.decode()
    assert not Delivery.objects.exists()


def test_a_delivery_is_booked_with_its_pieces(desk, two_lines):
    supplier = make_supplier()
    data = {**HEAD, **two_lines, "supplier": supplier.pk, "book": ""}
    answer = desk.post(reverse("new_delivery"), data, follow=True)
    assert answer.status_code == 200
    delivery = Delivery.objects.get()
    assert [line.landed_cost for line in delivery.lines.all()] == [
        Decimal("208.33"),
        Decimal("97.78"),
    ]
    first = Lot.objects.first()
    assert (first.piece.mass_g, first.piece.parts, first.supplier) == (868, 2, supplier)
    assert first.piece.thickness_mm == Decimal("17.5")
    assert first.number in answer.content.decode()


def test_a_blank_line_is_left_out(desk, two_lines):
    blank = {**two_lines, "form-TOTAL_FORMS": "3", "form-2-parts": "1"}
    desk.post(reverse("new_delivery"), {**HEAD, **blank, "book": ""})
    assert Delivery.objects.get().lines.count() == 2


def test_the_mass_of_one_piece_alone_is_that_of_its_line(desk, spruce):
    row = {"material": spruce.name, "quantity": "1", "price": "32", "mass_g": "868"}
    desk.post(reverse("new_delivery"), {**HEAD, **lines(row), "book": ""})
    assert Lot.objects.get().piece.mass_g == 868


def test_one_more_line_keeps_what_was_typed(desk, two_lines):
    page = desk.post(reverse("new_delivery"), {**HEAD, **two_lines, "more": ""})
    assert "not right yet" not in page.content.decode()
    assert len(page.context["lines"].forms) == 3
    assert "868 842" in page.content.decode()


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"material": "Sitka spruse"}, "There is no material"),
        ({"material": "spruce top"}, "Did you mean: Sitka spruce top, mandolin?"),
        ({"quantity": "six"}, "is not a quantity"),
        ({"quantity": "0"}, "The quantity must be above 0"),
        ({"quantity": "1.5"}, "Enter whole pieces"),
        ({"quantity": "9000"}, "at most 500"),
        ({"price": ""}, "This is needed: fill it in"),
        ({"price": "1.005"}, "steps of 0.01"),
        ({"masses": "868 842"}, "6 pieces but 2 masses"),
        ({"masses": "a b c d e f"}, "is not a quantity"),
        ({"size": "430 x 150"}, "three sizes"),
        ({"size": "430 x 0 x 3"}, "must be above 0"),
    ],
)
def test_what_is_wrong_with_a_line_is_said_and_nothing_is_booked(desk, spruce, change, words):
    row = {"material": str(spruce), "quantity": "6", "price": "192.00", **change}
    answer = desk.post(reverse("new_delivery"), {**HEAD, **lines(row), "book": ""})
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert not Delivery.objects.exists()


@pytest.mark.parametrize(
    ("head", "status"),
    [
        ({"received_on": "yesterday"}, 422),
        ({"carriage": "-1"}, 422),
        ({"share_by": "mood"}, 422),
        ({"share_by": "mass"}, 409),
    ],
)
def test_a_head_that_can_t_be_is_refused(desk, spruce, head, status):
    row = {"material": str(spruce), "quantity": "6", "price": "192.00"}
    answer = desk.post(reverse("new_delivery"), {**HEAD, **head, **lines(row), "book": ""})
    assert answer.status_code == status
    assert not Delivery.objects.exists()


def test_an_empty_delivery_is_refused(desk):
    answer = desk.post(reverse("new_delivery"), {**HEAD, **lines({"parts": "1"}), "book": ""})
    assert answer.status_code == 409
    assert "at least one line" in answer.content.decode()


def test_the_line_that_lacks_its_mass_is_named_as_the_page_counts(desk, two_lines):
    data = {**HEAD, **two_lines, "share_by": "mass", "look": ""}
    page = desk.post(reverse("new_delivery"), data).content.decode()
    assert "shared by mass, but line 2 has none" in page


@pytest.mark.parametrize("forms", ["", "x", "-1", "99999"])
def test_a_broken_form_is_answered_with_a_page(desk, forms):
    data = {**HEAD, "form-TOTAL_FORMS": forms, "form-INITIAL_FORMS": "0"}
    for button in ("more", "look", "book"):
        assert desk.post(reverse("new_delivery"), {**data, button: ""}).status_code < 500


def test_receiving_a_material_starts_with_its_name_and_supplier(desk):
    material = make_material("Bone nut", supplier=make_supplier())
    page = desk.get(reverse("new_delivery"), {"material": material.pk}).content.decode()
    assert 'value="Bone nut"' in page


@pytest.mark.parametrize("rows", [1, 25])
def test_the_list_of_deliveries_takes_a_fixed_number_of_queries(
    desk, django_assert_num_queries, rows
):
    for _ in range(rows):
        stocked()
    with django_assert_num_queries(5):
        assert desk.get(reverse("deliveries")).status_code == 200


@pytest.mark.parametrize("rows", [1, 25])
def test_a_delivery_takes_a_fixed_number_of_queries(desk, django_assert_num_queries, rows):
    several = [{"material": str(make_material()), "quantity": "2", "price": "4"}] * rows
    desk.post(reverse("new_delivery"), {**HEAD, **lines(*several), "book": ""})
    address = reverse("delivery", args=[Delivery.objects.get().pk])
    with django_assert_num_queries(6):
        assert desk.get(address).status_code == 200


def test_a_delivery_booked_by_mistake_is_taken_back_as_a_whole(desk):
    material = stocked(quantity=10, price="20.00")
    (line,) = DeliveryLine.objects.all()
    address = reverse("take_back_delivery", args=[line.delivery_id])
    desk.post(address, {"why": "booked twice"})
    material.refresh_from_db()
    assert (material.on_hand, material.book_cost) == (0, 0)
    page = desk.get(reverse("delivery", args=[line.delivery_id])).content.decode()
    assert "was reversed" in page
    assert "reversed</span>" in desk.get(reverse("deliveries")).text
    assert "already" in desk.post(address, {"why": "booked twice"}).content.decode()


def test_what_a_delivery_taken_back_was_booked_at_is_no_price_that_was_paid(desk):
    material = make_material()

    def book(price, on):
        line = NewLine(material=material, quantity=Decimal(1), price=Decimal(price))
        return receive_delivery(received_on=on, lines=[line], now=NOW)

    book(20, date(2027, 1, 5))
    book(21, date(2027, 2, 5))
    mistaken = book(999, date(2027, 3, 5))
    address = reverse("prices", args=[material.pk])
    assert "999" in str(desk.get(address).context["pictures"])
    desk.post(reverse("take_back_delivery", args=[mistaken.pk]), {"why": "a zero too many"})

    page = desk.get(address)
    known = [(note.price, note.is_taken_back) for note in page.context["page"]]
    assert known == [(999, True), (21, False), (20, False)]
    assert "paid, landed: delivery reversed" in page.text
    assert "<polyline" in page.text
    assert "999" not in str(page.context["pictures"])


def test_a_delivery_of_which_something_was_used_stays(desk):
    material = stocked(quantity=10, price="20.00")
    draw_stock(material=material, quantity=Decimal(1), holder="build:1", now=NOW)
    address = reverse("take_back_delivery", args=[DeliveryLine.objects.get().delivery_id])
    answer = desk.post(address, {"why": "booked twice"})
    assert answer.status_code == 409
    assert "has been used since" in answer.content.decode()
