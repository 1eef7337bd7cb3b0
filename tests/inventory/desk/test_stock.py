"""The stock list and what is found on it."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.models import KeptAs
from inventory.shelf.services.moves import draw_stock
from tests.factories import NOW, make_family, make_material
from tests.inventory.stocked import stocked, stocked_pieces


@pytest.mark.parametrize("rows", [1, 25])
def test_the_stock_list_takes_a_fixed_number_of_queries(desk, django_assert_num_queries, rows):
    for _ in range(rows):
        draw_stock(material=stocked(), quantity=Decimal(11), holder="build:1", now=NOW)
    with django_assert_num_queries(9):
        assert desk.get(reverse("stock")).status_code == 200


def test_a_material_is_found_by_words_of_its_name_in_any_order(desk):
    make_material("Sitka spruce top, mandolin", KeptAs.PIECE)
    make_material("Maple back")
    page = desk.get(reverse("stock"), {"q": "top SITKA"}).content.decode()
    assert "Sitka spruce top, mandolin" in page
    assert "Maple back" not in page


def test_a_piece_is_found_by_its_digits_alone(desk):
    _, (lot, _) = stocked_pieces()
    digits = lot.number.split("-")[1].lstrip("0")
    page = desk.get(reverse("stock"), {"q": digits}).content.decode()
    assert reverse("piece", args=[lot.number]) in page


def test_the_list_narrows_to_a_family(desk):
    make_material("Fretwire, medium", family=make_family("Fretwire"))
    make_material("Maple back")
    page = desk.get(reverse("stock"), {"family": make_family("Fretwire").pk}).content.decode()
    assert "Fretwire, medium" in page
    assert "Maple back" not in page


@pytest.mark.parametrize(
    ("only", "shown"),
    [
        ("waiting", "drawn beyond"),
        ("short", "below the reorder level"),
        ("price", "asked long ago"),
        ("archived", "archived"),
    ],
)
def test_the_list_narrows_to_what_needs_a_hand(desk, only, shown):
    today = date.today()
    fresh = {"replacement_checked_on": today}
    make_material("all is well", **fresh)
    make_material("below the reorder level", reorder_level=Decimal(3), **fresh)
    make_material("asked long ago", replacement_checked_on=today - timedelta(days=200))
    make_material("archived", is_archived=True, **fresh)
    beyond = make_material("drawn beyond", **fresh)
    draw_stock(material=beyond, quantity=Decimal(1), holder="build:1", now=NOW)
    page = desk.get(reverse("stock"), {"only": only})
    assert shown in {row.name for row in page.context["page"]}
    assert "all is well" not in {row.name for row in page.context["page"]}
    assert page.context["page"].paginator.count <= 2


@pytest.mark.parametrize(
    "query", ["?page=none", "?family=spruce&only=nothing", "?q=%00%27%3B--", "?page=999999"]
)
def test_an_address_typed_wrong_still_shows_the_list(desk, query):
    make_material()
    assert desk.get(reverse("stock") + query).status_code == 200


def test_what_was_drawn_beyond_the_books_waits_to_be_reconciled(desk):
    material = stocked(quantity=1)
    draw_stock(material=material, quantity=Decimal(3), holder="build:7", now=NOW)
    page = desk.get(reverse("to_reconcile")).content.decode()
    assert material.name in page
    assert "build:7" in page


def test_names_are_suggested_while_typing(desk):
    make_material("Sitka spruce top")
    make_material("Maple back")
    answer = desk.get(reverse("material_names"), {"form-0-material": "spru"})
    assert "Sitka spruce top" in answer.content.decode()
    assert "Maple" not in answer.content.decode()
