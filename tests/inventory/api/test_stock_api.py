"""Stock over the API: asked once, versioned, and in base units."""

from decimal import Decimal
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image
from rest_framework.test import APIClient

from inventory.models import KeptAs, Place, Promise, StockEntry
from inventory.services.draw_stock import draw_stock
from inventory.services.promise_stock import promise_stock
from tests.factories import NOW, make_family, make_material, make_supplier
from tests.inventory.stocked import stocked, stocked_pieces

API = "/api/v1"


def problem(answer, status):
    assert answer.status_code == status, answer.content
    assert answer["Content-Type"] == "application/problem+json"
    return answer.json()["detail"]


@pytest.mark.parametrize("rows", [1, 25])
@pytest.mark.parametrize(
    ("path", "queries"),
    [
        ("materials", 2),
        ("lots", 2),
        ("pieces", 2),
        ("entries", 1),
        ("promises", 2),
        ("deliveries", 4),
        ("families", 2),
        ("places", 2),
        ("suppliers", 2),
    ],
)
def test_a_list_takes_a_fixed_number_of_queries(
    phone, django_assert_num_queries, rows, path, queries
):
    for position in range(rows):
        material = stocked(KeptAs.PIECE, 2)
        ask = {"material": material, "quantity": Decimal(1), "now": NOW}
        promise_stock(holder=f"build:{position}", holder_name="a build", **ask)
        Place.objects.create(name=f"shelf {position}")
        make_supplier(f"supplier {position}")
    phone.get(f"{API}/materials/")
    # one more for the workshop
    with django_assert_num_queries(queries + 1):
        assert phone.get(f"{API}/{path}/").status_code == 200


def test_a_draw_asked_twice_under_one_key_is_done_once(phone):
    wire = stocked(KeptAs.LENGTH, 6000, unit="m")
    ask = {"quantity": "1050", "holder": "build:12"}
    first = phone.post(f"{API}/materials/{wire.pk}/draw/", ask, headers={"Idempotency-Key": "a"})
    again = phone.post(f"{API}/materials/{wire.pk}/draw/", ask, headers={"Idempotency-Key": "a"})
    assert first.status_code == again.status_code == 201
    assert first.json() == again.json()
    wire.refresh_from_db()
    assert wire.on_hand == 4950


@pytest.mark.parametrize(
    ("path", "body", "other"),
    [
        ("draw", {"quantity": "1"}, {"quantity": "2"}),
        ("scrap", {"quantity": "1", "why": "cracked"}, {"quantity": "1", "why": "lost"}),
        ("count", {"counted": "1"}, {"counted": "2"}),
    ],
)
def test_a_key_used_again_with_another_body_is_refused(phone, path, body, other):
    address = f"{API}/materials/{stocked().pk}/{path}/"
    assert phone.post(address, body, headers={"Idempotency-Key": "k"}).status_code == 201
    entries = StockEntry.objects.count()
    problem(phone.post(address, other, headers={"Idempotency-Key": "k"}), 422)
    assert StockEntry.objects.count() == entries


def test_a_promise_beyond_what_is_free_is_a_problem(phone):
    material = stocked(quantity=2)
    ask = {"material": material.pk, "holder": "build:1", "holder_name": "2027-01"}
    assert phone.post(f"{API}/promises/", {**ask, "quantity": "2"}).status_code == 201
    sentence = problem(phone.post(f"{API}/promises/", {**ask, "quantity": "1"}), 409)
    assert "0 each free, 1 each asked" in sentence
    assert Promise.objects.count() == 1


def test_a_promise_is_released_once_and_for_all(phone):
    material = stocked(quantity=2)
    ask = {"material": material.pk, "holder": "build:1", "holder_name": "x", "quantity": "2"}
    key = phone.post(f"{API}/promises/", ask).json()["id"]
    for _ in range(2):
        answer = phone.post(f"{API}/promises/{key}/release/")
        assert answer.json()["outstanding"] == "0.000"
    material.refresh_from_db()
    assert material.free == 2


def test_a_piece_is_promised_by_its_number(phone):
    material, (first, _) = stocked_pieces()
    ask = {"material": material.pk, "holder": "build:1", "holder_name": "x", "quantity": "1"}
    assert phone.post(f"{API}/promises/", {**ask, "lot": first.number}).status_code == 201
    sentence = problem(phone.post(f"{API}/promises/", {**ask, "lot": first.number}), 409)
    assert "is promised to x" in sentence


@pytest.mark.parametrize(
    "change",
    [
        {"quantity": "0"},
        {"quantity": "many"},
        {"quantity": None},
        {"holder": ""},
        {"holder": "Posy"},
        {"holder": "build: 12"},
        {"lot": "T-9999"},
        {"until": "some day"},
        {"material": 404},
        {"quantity": "1e30"},
        {"quantity": "NaN"},
    ],
    ids=str,
)
def test_a_promise_that_can_t_be_read_is_a_problem(phone, change):
    ask = {"material": stocked().pk, "holder": "build:1", "holder_name": "x", "quantity": "1"}
    problem(phone.post(f"{API}/promises/", {**ask, **change}), 400)
    assert not Promise.objects.exists()


def test_a_lot_of_another_material_is_no_lot_of_this_one(phone):
    material, (other,) = stocked(), stocked().lots.all()
    ask = {"quantity": "1", "lot": other.number}
    sentence = problem(phone.post(f"{API}/materials/{material.pk}/draw/", ask), 400)
    assert "is no lot of" in sentence


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


def test_a_delivery_lands_over_the_api_as_on_its_page(phone):
    spruce, maple = make_material("Spruce", KeptAs.PIECE), make_material("Maple", KeptAs.PIECE)
    body = {
        "received_on": "2027-03-09",
        "carriage": "24.00",
        "lines": [
            {
                "material": spruce.pk,
                "quantity": "6",
                "price": "192.00",
                "pieces": [{"mass_g": "868", "parts": 2}],
            },
            {"material": maple.pk, "quantity": "1", "price": "90.11"},
        ],
    }
    answer = phone.post(f"{API}/deliveries/", body)
    assert [line["landed_cost"] for line in answer.json()["lines"]] == ["208.330", "97.780"]
    assert len(answer.json()["lines"][0]["lots"]) == 6


@pytest.mark.parametrize(
    "change",
    [
        {"lines": []},
        {"lines": "none"},
        {"carriage": "-1"},
        {"carriage": "0.001"},
        {"share_by": "mood"},
        {"received_on": "2027-02-30"},
    ],
    ids=str,
)
def test_a_delivery_that_can_t_be_read_is_a_problem(phone, change):
    row = {"material": make_material().pk, "quantity": "6", "price": "192.00"}
    body = {"received_on": "2027-03-09", "lines": [row], **change}
    problem(phone.post(f"{API}/deliveries/", body), 400)
    assert not StockEntry.objects.exists()


def test_an_entry_comes_back_and_is_corrected(phone):
    material = stocked()
    entry = draw_stock(material=material, quantity=Decimal(4), holder="build:1", now=NOW)[0]
    back = phone.post(f"{API}/entries/{entry.pk}/return/", {"quantity": "1"})
    assert back.json()["about"] == entry.pk
    problem(phone.post(f"{API}/entries/{entry.pk}/return/", {"quantity": "4"}), 409)
    answer = phone.post(f"{API}/entries/{back.json()['id']}/correct/", {"why": "typed twice"})
    assert answer.status_code == 201
    problem(phone.post(f"{API}/entries/{back.json()['id']}/correct/", {"why": "again"}), 409)


def test_the_journal_is_read_page_by_page(phone):
    material = stocked(quantity=100)
    for _ in range(59):
        draw_stock(material=material, quantity=Decimal(1), holder="build:1", now=NOW)
    answer = phone.get(f"{API}/entries/", {"material": material.pk}).json()
    later = phone.get(answer["next"]).json()
    keys = [row["id"] for row in [*answer["results"], *later["results"]]]
    assert len(keys) == 60
    assert keys == sorted(keys, reverse=True)


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


def test_a_piece_goes_back_to_its_supplier(phone):
    _, (lot, _) = stocked_pieces()
    body = {"quantity": "1", "credit": "10.00", "why": "run-out"}
    assert phone.post(f"{API}/lots/{lot.number}/send-back/", body).status_code == 201
    problem(phone.post(f"{API}/lots/{lot.number}/send-back/", body), 409)


@pytest.mark.parametrize(
    ("path", "body"),
    [
        ("materials/{}/draw/", {"quantity": "1"}),
        ("promises/", {}),
        ("deliveries/", {}),
        ("places/", {"name": "Loft"}),
    ],
)
def test_a_looker_on_reads_and_does_not_write(looker_on, path, body):
    api = APIClient()
    api.force_authenticate(looker_on)
    material = stocked()
    assert api.get(f"{API}/materials/{material.pk}/").status_code == 200
    problem(api.post(f"{API}/{path.format(material.pk)}", body), 403)


def test_nobody_in_particular_sees_nothing(workshop):
    answer = APIClient().get(f"{API}/materials/")
    assert answer.status_code in {401, 403}


@pytest.mark.parametrize("path", ["materials", "families", "suppliers", "lots", "pieces"])
def test_what_the_journal_rests_on_is_not_deleted(phone, path):
    material, (lot, _) = stocked_pieces()
    key = {"materials": material.pk, "families": material.family_id, "suppliers": 1}
    address = f"{API}/{path}/{key.get(path, lot.number)}/"
    assert phone.delete(address, headers={"If-Match": "*"}).status_code == 405


def test_a_weighing_says_whether_the_piece_has_settled(phone):
    _, (lot, _) = stocked_pieces()
    told = {"grams": "868", "happened_at": "2026-03-08T11:00:00Z"}
    answer = phone.post(f"/api/v1/pieces/{lot.number}/weighings/", told)
    assert (answer.status_code, answer.data["ready"], answer.data["on"]) == (
        201,
        False,
        "2026-03-08",
    )
    assert phone.get(f"/api/v1/pieces/{lot.number}/").data["mass_g"] == "868.000"


def test_a_photo_is_kept_with_its_lot(phone):
    _, (lot, _) = stocked_pieces()
    picture = BytesIO()
    Image.new("RGB", (40, 30)).save(picture, "JPEG")
    photo = SimpleUploadedFile("grain.jpg", picture.getvalue(), content_type="image/jpeg")
    body = {"photo": photo, "note": "run-out"}
    answer = phone.post(f"/api/v1/lots/{lot.number}/photos/", body, format="multipart")
    assert answer.status_code == 201, answer.data
    assert lot.photos.get().note == "run-out"
