"""Labels, count sheets, pictures and drying wood over the API."""

from decimal import Decimal

import pytest
from django.core.files.base import ContentFile

from inventory.counting.services import start_count
from inventory.ledger.services.incoming import NewLine, PieceFacts
from inventory.models import KeptAs, Lot, Photo
from inventory.purchasing.services.deliveries import receive_delivery
from tests.factories import NOW, TODAY, make_material
from tests.inventory.base.test_photos import picture, upload_of


@pytest.fixture
def spruce(workshop, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    material = make_material("Sitka spruce top", KeptAs.PIECE)
    pieces = [PieceFacts(mass_g=Decimal(mass), parts=2) for mass in (868, 842)]
    line = NewLine(material=material, quantity=Decimal(2), price=Decimal(64), pieces=pieces)
    receive_delivery(received_on=TODAY, lines=[line], now=NOW)
    return list(Lot.objects.order_by("number"))


def test_labels_are_printed_and_an_unknown_number_is_named(phone, spruce):
    sheet = phone.get("/api/v1/labels/?lot=T-0001&lot=T-0002&skip=3")
    assert sheet.content.startswith(b"%PDF")
    assert phone.get("/api/v1/lots/T-0001/label/").content.startswith(b"%PDF")
    wrong = phone.get("/api/v1/labels/?lot=T-0001&lot=T-9999")
    assert wrong.status_code == 400
    assert "T-9999" in wrong.json()["detail"]


def test_a_count_sheet_is_printed(phone, spruce):
    count = start_count(name="year end", now=NOW)
    assert phone.get(f"/api/v1/counts/{count.pk}/sheet/").content.startswith(b"%PDF")


def test_a_picture_is_added_listed_read_and_removed(phone, spruce):
    upload = upload_of(picture((30, 20)))
    phone.post("/api/v1/lots/T-0001/photos/", {"photo": upload}, format="multipart")
    (row,) = phone.get("/api/v1/photos/?lot=T-0001").json()["results"]
    assert row["lot"] == "T-0001"
    assert phone.get("/api/v1/photos/?lot=T-0002").json()["results"] == []
    for end in ("file/", "file/small/"):
        sent = phone.get(f"/api/v1/photos/{row['id']}/{end}")
        assert b"".join(sent.streaming_content).startswith(b"\xff\xd8")
    assert phone.post(f"/api/v1/photos/{row['id']}/remove/").status_code == 204
    assert not Photo.objects.exists()


def test_drying_wood_is_listed_with_what_it_waits_for(phone, spruce):
    listed = phone.get("/api/v1/seasoning/").json()
    assert [row["number"] for row in listed] == ["T-0001", "T-0002"]
    told = phone.get("/api/v1/pieces/T-0001/seasoning/").json()
    assert told["ready"] is False
    assert told["forecast"]["on"] is None


def test_a_part_names_what_it_was_cut_from_by_number(phone, spruce):
    phone.post("/api/v1/lots/T-0001/split/", {"why": "one half split"})
    rows = phone.get("/api/v1/lots/?page_size=200").json()["results"]
    assert {row["cut_from"] for row in rows} == {None, "T-0001"}


def test_a_data_sheet_is_sent_while_it_is_kept(phone, spruce):
    material = spruce[0].material
    address = f"/api/v1/materials/{material.pk}/data-sheet/"
    material.data_sheet.save("spruce.pdf", ContentFile(b"%PDF-1.7 spruce dust"))
    sent = phone.get(address)
    assert sent.status_code == 200
    assert b"".join(sent.streaming_content) == b"%PDF-1.7 spruce dust"
    material.data_sheet.delete()
    assert phone.get(address).status_code == 404
