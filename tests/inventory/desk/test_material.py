"""A material's page and the forms that change it."""

from datetime import date
from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.models import CostMethod, KeptAs, Material
from inventory.reservations.services import reserve_stock
from inventory.shelf.services.moves import draw_stock
from tests.factories import NOW, make_family, make_material
from tests.inventory.stocked import stocked, stocked_pieces

NEW = {"name": "Fretwire, medium", "kept_as": "length", "unit": "m", "reorder_level": "5"}


@pytest.mark.parametrize("rows", [1, 25])
def test_a_material_page_takes_a_fixed_number_of_queries(desk, django_assert_num_queries, rows):
    material = stocked()
    for position in range(rows):
        stocked(material=material)
        ask = {"material": material, "quantity": Decimal(1), "now": NOW}
        reserve_stock(holder=f"build:{position}", holder_name=f"build {position}", **ask)
        draw_stock(holder="build:99", **ask)
    with django_assert_num_queries(13):
        assert desk.get(reverse("material", args=[material.pk])).status_code == 200


def test_the_journal_goes_back_page_by_page_without_a_gap(desk):
    material = stocked(quantity=60)
    for _ in range(45):
        draw_stock(material=material, quantity=Decimal(1), holder="build:1", now=NOW)
    address, seen = reverse("material", args=[material.pk]), []
    before = ""
    while before is not None:
        page = desk.get(address, {"before": before}).context["journal"]
        seen += [entry.pk for entry in page.entries]
        before = page.before
    assert seen == list(material.entries.values_list("pk", flat=True))
    assert len(seen) == 46


def test_a_new_material_is_kept_with_its_level_in_base_units(desk):
    answer = desk.post(reverse("new_material"), {**NEW, "family": make_family().pk})
    row = Material.objects.get()
    assert answer.url == reverse("check_price", args=[row.pk])
    assert (row.reorder_level, row.cost_method) == (Decimal(5000), CostMethod.FIFO)


def test_a_material_kept_by_the_piece_has_its_own_cost(desk):
    data = {**NEW, "kept_as": "piece", "unit": "ea", "family": make_family().pk}
    desk.post(reverse("new_material"), {**data, "cost_method": "average"})
    assert Material.objects.get().cost_method == CostMethod.ACTUAL


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"unit": "kg"}, "A material kept as length needs one of these units: mm"),
        ({"name": ""}, "This is needed: fill it in"),
        ({"name": "Taken"}, "with this Name already"),
        ({"reorder_level": "some"}, "is not a quantity"),
        ({"kept_as": "bundle"}, "not on the list"),
        ({"lead_time_days": "-3"}, "has to be at least 0"),
    ],
)
def test_what_is_wrong_with_a_material_is_said_beside_its_field(desk, change, words):
    make_material("Taken")
    answer = desk.post(reverse("new_material"), {**NEW, "family": make_family().pk, **change})
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert Material.objects.count() == 1


def test_how_a_material_is_kept_is_fixed_once_it_has_a_journal(desk):
    material = stocked(KeptAs.COUNT)
    data = {"name": "new name", "family": material.family_id, "kept_as": "length", "unit": "ea"}
    desk.post(reverse("edit_material", args=[material.pk]), data)
    material.refresh_from_db()
    assert (material.name, material.kept_as) == ("new name", KeptAs.COUNT)


def test_a_price_is_noted_with_the_day_it_was_asked(desk):
    material = make_material()
    data = {"replacement_price": "74.00", "replacement_checked_on": "2027-03-20"}
    desk.post(reverse("check_price", args=[material.pk]), data)
    material.refresh_from_db()
    assert material.replacement_price == Decimal(74)
    assert material.replacement_checked_on == date(2027, 3, 20)


def test_an_old_price_asks_to_be_asked_again(desk):
    material = make_material(replacement_checked_on=date(2020, 1, 1))
    assert "out of date" in desk.get(reverse("material", args=[material.pk])).content.decode()


def test_a_looker_on_sees_stock_and_changes_nothing(client, looker_on):
    client.force_login(looker_on)
    material = stocked()
    assert client.get(reverse("material", args=[material.pk])).status_code == 200
    answer = client.post(reverse("count_material", args=[material.pk]), {"counted": "3"})
    assert answer.status_code == 403
    material.refresh_from_db()
    assert material.on_hand == 10


def test_used_up_lots_have_their_own_page(desk):
    material, (lot, _) = stocked_pieces()
    draw_stock(material=material, quantity=Decimal(1), lot=lot, holder="build:1", now=NOW)
    page = desk.get(reverse("used_up_lots", args=[material.pk])).content.decode()
    assert lot.number in page
    assert "drawn" in page


def test_a_material_that_is_not_there_is_not_found(desk):
    assert desk.get(reverse("material", args=[404])).status_code == 404
