"""What happened to stock, over the API: asked once, never refused, corrected."""

from decimal import Decimal
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from inventory.models import KeptAs, StockEntry
from inventory.shelf.services.moves import draw_stock
from tests.factories import NOW
from tests.inventory.problems import problem
from tests.inventory.stocked import stocked, stocked_pieces

API = "/api/v1"


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


def test_a_lot_of_another_material_is_no_lot_of_this_one(phone):
    material, (other,) = stocked(), stocked().lots.all()
    ask = {"quantity": "1", "lot": other.number}
    sentence = problem(phone.post(f"{API}/materials/{material.pk}/draw/", ask), 400)
    assert "is not a lot of" in sentence


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


def test_a_piece_goes_back_to_its_supplier(phone):
    _, (lot, _) = stocked_pieces()
    body = {"quantity": "1", "credit": "10.00", "why": "run-out"}
    assert phone.post(f"{API}/lots/{lot.number}/send-back/", body).status_code == 201
    problem(phone.post(f"{API}/lots/{lot.number}/send-back/", body), 409)


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
