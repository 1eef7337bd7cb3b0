"""The page that a label leads to."""

from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.models import KeptAs, Place
from inventory.shelf.services.moves import draw_stock
from tests.factories import NOW
from tests.inventory.stocked import stocked, stocked_pieces

SIZES = {"length_mm": "430", "width_mm": "150", "thickness_mm": "17.5", "mass_g": "868"}


@pytest.mark.parametrize("rows", [1, 25])
def test_a_lot_page_takes_a_fixed_number_of_queries(desk, django_assert_num_queries, rows):
    material = stocked(quantity=100)
    for _ in range(rows):
        draw_stock(material=material, quantity=Decimal(1), holder="build:1", now=NOW)
    lot = material.lots.get()
    with django_assert_num_queries(11):
        assert desk.get(reverse("piece", args=[lot.number])).status_code == 200


def test_a_piece_shows_its_density_once_it_is_measured(desk):
    _, (lot, _) = stocked_pieces()
    desk.post(reverse("edit_piece", args=[lot.number]), {**SIZES, "parts": 2, "is_ready": "on"})
    page = desk.get(reverse("piece", args=[lot.number]))
    # 868 g in two wedges of 430 x 150 x 17.5 mm: the first set of the second walk-through
    assert round(page.context["density"], 1) == Decimal("384.5")


def test_sizes_may_be_typed_in_inches(desk):
    _, (lot, _) = stocked_pieces()
    data = {**SIZES, "length_mm": "17 in", "parts": 2, "is_ready": "on"}
    desk.post(reverse("edit_piece", args=[lot.number]), data)
    lot.piece.refresh_from_db()
    assert lot.piece.length_mm == Decimal("431.8")


@pytest.mark.parametrize(
    "change", [{"mass_g": "0"}, {"mass_g": "heavy"}, {"parts": "0"}, {"felled_on": "long ago"}]
)
def test_a_piece_is_not_changed_to_what_can_t_be(desk, change):
    _, (lot, _) = stocked_pieces()
    data = {**SIZES, "parts": 2, "is_ready": "on", **change}
    assert desk.post(reverse("edit_piece", args=[lot.number]), data).status_code == 422
    lot.piece.refresh_from_db()
    assert lot.piece.mass_g is None


def test_a_number_typed_short_leads_to_its_piece(desk):
    _, (lot, _) = stocked_pieces()
    digits = lot.number.split("-")[1].lstrip("0")
    answer = desk.get(reverse("piece", args=[digits]))
    assert answer.url == reverse("piece", args=[lot.number])


def test_a_number_that_is_none_is_not_found(desk):
    assert desk.get(reverse("piece", args=["T-9999"])).status_code == 404
    assert desk.get(reverse("piece", args=["spruce"])).status_code == 404


def test_a_lot_is_given_its_place_and_dates(desk):
    lot = stocked(KeptAs.MASS, 500).lots.get()
    place = Place.objects.create(name="Drawer 7")
    data = {"place": place.pk, "opened_on": "2027-03-09", "expires_on": "2027-09-09"}
    desk.post(reverse("edit_lot", args=[lot.number]), data)
    lot.refresh_from_db()
    assert (lot.place, str(lot.expires_on)) == (place, "2027-09-09")


def test_only_a_piece_has_sizes(desk):
    lot = stocked().lots.get()
    assert desk.get(reverse("edit_piece", args=[lot.number])).status_code == 404
