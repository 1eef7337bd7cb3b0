"""Materials, lots and pieces over the API: versioned, and by the rules of their kind."""

from decimal import Decimal

import pytest

from inventory.models import KeptAs
from inventory.shelf.services.moves import draw_stock
from tests.factories import NOW, make_family, make_material
from tests.inventory.problems import problem
from tests.inventory.stocked import stocked, stocked_pieces

API = "/api/v1"


def test_a_material_is_changed_only_by_who_read_its_latest_version(phone):
    address = f"{API}/materials/{make_material().pk}/"
    tag = phone.get(address)["ETag"]
    change = {"replacement_price": "74.00"}
    problem(phone.patch(address, change), 428)
    answer = phone.patch(address, change, headers={"If-Match": tag})
    assert answer.json()["replacement_price"] == "74.0000"
    problem(phone.patch(address, {"note": "late"}, headers={"If-Match": tag}), 412)


@pytest.mark.parametrize(
    ("path", "change"),
    [("lots", {"note": "upper shelf"}), ("pieces", {"mass_g": "868", "grade": "quartered"})],
)
def test_lots_and_pieces_are_versioned_too(phone, path, change):
    _, (lot, _) = stocked_pieces()
    address = f"{API}/{path}/{lot.number}/"
    tag = phone.get(address)["ETag"]
    assert phone.patch(address, change, headers={"If-Match": tag}).status_code == 200
    problem(phone.patch(address, change, headers={"If-Match": tag}), 412)


@pytest.mark.parametrize(
    "change",
    [
        {"kept_as": "length"},
        {"cost_method": "average"},
        {"unit": "kg"},
        {"cost_method": "actual"},
        {"name": ""},
        {"reorder_level": "-1"},
    ],
    ids=str,
)
def test_a_material_with_a_journal_is_not_changed_to_what_can_t_be(phone, change):
    address = f"{API}/materials/{stocked().pk}/"
    problem(phone.patch(address, change, headers={"If-Match": "*"}), 400)


def test_balances_are_written_by_the_journal_alone(phone):
    material = stocked()
    address = f"{API}/materials/{material.pk}/"
    body = {"on_hand": "999", "promised": "9", "book_cost": "1"}
    assert phone.patch(address, body, headers={"If-Match": "*"}).status_code == 200
    material.refresh_from_db()
    assert (material.on_hand, material.promised) == (10, 0)


def test_a_new_material_goes_by_the_rules_of_its_kind(phone):
    body = {
        "name": "Sitka top",
        "family": make_family().pk,
        "kept_as": "piece",
        "cost_method": "actual",
        "unit": "ea",
    }
    assert phone.post(f"{API}/materials/", body).status_code == 201
    problem(phone.post(f"{API}/materials/", {**body, "name": "other", "unit": "mm"}), 400)


@pytest.mark.parametrize(
    ("query", "found"),
    [
        ("search=spruce", ["Sitka spruce top"]),
        ("kept_as=length", ["Fretwire"]),
        ("to_reconcile=true", ["Bone nut"]),
        ("short=true", ["Bone nut"]),
        ("ordering=-name&kept_as=length", ["Fretwire"]),
    ],
)
def test_materials_are_narrowed_down(phone, query, found):
    stocked(KeptAs.PIECE, 2, name="Sitka spruce top")
    make_material("Fretwire", KeptAs.LENGTH)
    nut = make_material("Bone nut", reorder_level=Decimal(2))
    draw_stock(material=nut, quantity=Decimal(1), holder="build:1", now=NOW)
    rows = phone.get(f"{API}/materials/?{query}").json()["results"]
    assert [row["name"] for row in rows] == found


@pytest.mark.parametrize("path", ["materials", "families", "suppliers", "lots", "pieces"])
def test_what_the_journal_rests_on_is_not_deleted(phone, path):
    material, (lot, _) = stocked_pieces()
    key = {"materials": material.pk, "families": material.family_id, "suppliers": 1}
    address = f"{API}/{path}/{key.get(path, lot.number)}/"
    assert phone.delete(address, headers={"If-Match": "*"}).status_code == 405
