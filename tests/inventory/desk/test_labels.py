"""Labels as PDF: the maker's own grid, and a code that is the piece's address."""

import re
from decimal import Decimal
from io import BytesIO

import pytest
import segno
from django.urls import reverse
from pypdf import PdfReader

from inventory.desk.documents import Label, LabelSheet, place_labels
from inventory.models import StockRules
from tests.inventory.stocked import stocked, stocked_pieces

SHEET = LabelSheet(
    columns=3,
    rows=8,
    width=Decimal("63.5"),
    height=Decimal("33.9"),
    left=Decimal("7.2"),
    top=Decimal("12.9"),
    gap_across=Decimal("2.5"),
    gap_down=Decimal(0),
)


def make_label(number="T-0412"):
    return Label(number=number, words="spruce", facts="", address=f"http://shop/stock/p/{number}/")


def test_labels_lie_in_the_maker_s_grid_row_by_row():
    (page,) = place_labels([make_label()] * 5, SHEET)
    assert [(placed.left, placed.top) for placed in page] == [
        (Decimal("7.2"), Decimal("12.9")),
        (Decimal("73.2"), Decimal("12.9")),
        (Decimal("139.2"), Decimal("12.9")),
        (Decimal("7.2"), Decimal("46.8")),
        (Decimal("73.2"), Decimal("46.8")),
    ]


def test_places_that_are_used_up_are_left_free():
    first, second = place_labels([make_label()] * 24, SHEET, skip=4)
    assert (first[0].left, first[0].top) == (Decimal("73.2"), Decimal("46.8"))
    assert (len(first), len(second)) == (20, 4)


def test_the_code_is_the_address_of_the_piece():
    label = make_label()
    size = segno.make(label.address, error="m", micro=False).symbol_size(border=4)[0]
    assert re.search(rf'viewBox="0 0 {size} {size}"', label.code)
    assert "http" not in label.code


def test_a_sheet_prints_the_numbers_on_one_page(desk):
    _, lots = stocked_pieces(5)
    numbers = [lot.number for lot in lots]
    answer = desk.get(reverse("labels_pdf"), {"n": numbers, "skip": "2"})
    (page,) = PdfReader(BytesIO(answer.content)).pages
    text = page.extract_text()
    assert all(number in text for number in numbers)
    assert [round(float(side) / 72 * 25.4) for side in page.mediabox[2:]] == [210, 297]


def test_one_label_is_a_page_of_its_own_size(desk):
    StockRules.objects.create(pk=1, label_width_mm=Decimal(50), label_height_mm=Decimal(25))
    _, (lot, _) = stocked_pieces()
    answer = desk.get(reverse("label_pdf", args=[lot.number]))
    (page,) = PdfReader(BytesIO(answer.content)).pages
    assert [round(float(side) / 72 * 25.4) for side in page.mediabox[2:]] == [50, 25]
    assert lot.number in page.extract_text()


def test_the_code_alone_is_a_picture(desk):
    _, (lot, _) = stocked_pieces()
    answer = desk.get(reverse("label_code", args=[lot.number]))
    assert answer["Content-Type"] == "image/svg+xml"
    assert answer.content.startswith(b"<svg xmlns=")


def test_labels_of_one_material_are_ticked(desk):
    material, _ = stocked_pieces(3)
    page = desk.get(reverse("labels"), {"material": material.pk}).content.decode()
    assert page.count("checked>") == 3 + page.count("data-shortcuts-on checked")


@pytest.mark.parametrize("query", [{}, {"n": "T-9999"}])
def test_a_sheet_of_nothing_is_not_found(desk, query):
    assert desk.get(reverse("labels_pdf"), query).status_code == 404


def test_the_labels_of_a_delivery_are_chosen_at_once(desk):
    came = stocked().lots.get()
    stocked()
    delivery = came.delivery_line.delivery
    page = desk.get(f"{reverse('labels')}?delivery={delivery.pk}")
    assert list(page.context["lots"]) == [came]
    assert " checked" in page.content.decode()
    assert (
        f"{reverse('labels')}?delivery={delivery.pk}"
        in desk.get(reverse("delivery", args=[delivery.pk])).content.decode()
    )
