"""Builds in the API: the card, draws, losses, returns, notes, stages."""

from datetime import UTC, datetime
from decimal import Decimal
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone
from PIL import Image

from inventory.counting.services import count_stock
from inventory.models import KeptAs, StockEntry
from shop.builds.services.stock import reserve_for_build
from tests.factories import make_material
from tests.shop.factories import make_build, planned_line, planned_stage

pytestmark = pytest.mark.django_db
NOW = datetime(2027, 3, 16, 18, 0, tzinfo=UTC)
URL = "/api/v1/builds/"


@pytest.fixture(autouse=True)
def evening(monkeypatch):
    monkeypatch.setattr(timezone, "now", lambda: NOW)


@pytest.fixture
def wire(workshop):
    wire = make_material("Fretwire, medium", KeptAs.LENGTH, unit="m", caution="Sharp ends.")
    count_stock(material=wire, counted=Decimal(5000), now=NOW)
    wire.refresh_from_db()
    return wire


@pytest.fixture
def build(wire):
    build = make_build("A", stages=[planned_stage("Fret")], lines=[planned_line(wire, "1050")])
    reserve_for_build(build=build, now=NOW)
    return build


def draw(phone, build, **more):
    line = build.lines.get().pk
    return phone.post(f"{URL}{build.pk}/draws/", {"line": line, "quantity": "1050"} | more)


def test_the_card_shows_what_is_needed_promised_and_cautioned(phone, build):
    line = phone.get(f"{URL}{build.pk}/").data["lines"][0]
    assert (line["to_draw"], line["used"], line["promised"]) == ("1050.000", "0.000", "1050.000")
    assert (line["unit"], line["caution"]) == ("m", "Sharp ends.")


@pytest.mark.parametrize("rows", [1, 25])
def test_the_list_takes_the_same_queries_however_long(phone, wire, rows, django_assert_num_queries):
    for _ in range(rows):
        make_build(lines=[planned_line(wire)])
    with django_assert_num_queries(15):
        assert phone.get(URL, {"open": "true"}).data["count"] == rows


def test_a_draw_keeps_when_it_happened(phone, build):
    answer = draw(phone, build, happened_at="2027-03-16T11:40:00Z")
    assert answer.status_code == 201, answer.data
    entry = StockEntry.objects.get(pk=answer.data[0]["entry"]["id"])
    assert (f"{entry.happened_at:%H:%M}", f"{entry.recorded_at:%H:%M}") == ("11:40", "18:00")
    assert phone.get(f"{URL}{build.pk}/").data["lines"][0]["used"] == "1050.000"


def test_a_draw_beyond_the_books_is_recorded_and_marked(phone, build):
    answer = draw(phone, build, quantity="9000")
    assert [one["entry"]["to_reconcile"] for one in answer.data][-1] is True


def test_a_line_of_another_build_is_declined(phone, build, wire):
    other = make_build("B", lines=[planned_line(wire)])
    answer = draw(phone, build, line=other.lines.get().pk)
    assert answer.status_code == 400
    assert answer.data["detail"].startswith("line: It belongs to another build")


def test_some_of_a_draw_comes_back(phone, build):
    drawn = draw(phone, build).data[0]
    back = phone.post(f"/api/v1/draws/{drawn['id']}/return/", {"quantity": "50"})
    assert (back.status_code, back.data["quantity"]) == (201, "50.000")
    too_much = phone.post(f"/api/v1/draws/{drawn['id']}/return/", {"quantity": "1001"})
    assert too_much.status_code == 409
    assert "what is still out: 1 m of this draw" in too_much.data["detail"]


def test_what_was_drawn_and_spoilt_is_scrapped_out_of_its_draw(phone, build):
    drawn = draw(phone, build).data[0]
    body = {"draw": drawn["id"], "quantity": "1050", "why": "kinked"}
    assert phone.post(f"{URL}{build.pk}/scraps/", body).status_code == 201
    line = phone.get(f"{URL}{build.pk}/").data["lines"][0]
    assert line["used"] == "0.000"


def test_draws_of_a_build_are_listed_with_their_entries(phone, build):
    draw(phone, build)
    shown = phone.get(f"{URL}{build.pk}/draws/").data
    assert [(one["entry"]["reason"], one["entry"]["quantity"]) for one in shown] == [
        ("drawn", "-1050.000")
    ]


def test_a_photo_is_kept_with_its_build_and_stage(phone, build):
    picture = BytesIO()
    Image.new("RGB", (40, 30)).save(picture, "JPEG")
    photo = SimpleUploadedFile("crack.jpg", picture.getvalue(), content_type="image/jpeg")
    body = {"photo": photo, "text": "crack at the end grain", "stage": build.stages.get().pk}
    answer = phone.post(f"{URL}{build.pk}/notes/", body, format="multipart")
    assert answer.status_code == 201, answer.data
    assert phone.get(f"{URL}{build.pk}/notes/").data[0]["text"] == "crack at the end grain"


def test_stages_are_started_ticked_off_and_taken_up_again(phone, build):
    url = f"/api/v1/stages/{build.stages.get().pk}"
    assert phone.post(f"{url}/finish/", {"at": "2027-03-16T12:00:00Z"}).data["finished_at"]
    assert phone.post(f"{url}/reopen/").data["finished_at"] is None
