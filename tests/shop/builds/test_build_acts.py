from decimal import Decimal

import pytest

from inventory.ledger.services.incoming import NewLine
from inventory.models import KeptAs
from inventory.purchasing.services.deliveries import receive_delivery
from shop.models import Build, BuildState
from tests.factories import make_material
from tests.shop.factories import (
    NOW,
    TODAY,
    make_build,
    make_template,
    make_template_stage,
    planned_line,
)

pytestmark = pytest.mark.django_db
URL = "/api/v1/builds/"


@pytest.fixture
def spruce(workshop):
    material = make_material("Spruce top", KeptAs.PIECE, lead_time_days=21)
    line = NewLine(material=material, quantity=Decimal(2), price=Decimal(64))
    receive_delivery(received_on=TODAY, lines=[line], now=NOW)
    return material


@pytest.fixture
def build(posy, spruce):
    return make_build(lines=[planned_line(spruce)])


def act(phone, build, name, **asked):
    return phone.post(f"{URL}{build.pk}/{name}/", asked)


def test_a_build_begins_from_its_template(phone, workshop):
    template = make_template()
    make_template_stage(template, "Bend ribs", ("4", "6.5", "10"))
    answer = phone.post(URL, {"template": template.pk, "title": "For the fair"})
    assert answer.status_code == 201
    assert answer.data["stages"][0]["hours_planned"] == "6.50"
    assert answer.headers["ETag"] == phone.get(f"{URL}{answer.data['id']}/").headers["ETag"]


def test_a_build_is_changed_by_whoever_read_it_last(phone, build):
    etag = phone.get(f"{URL}{build.pk}/").headers["ETag"]
    changed = {"title": "Carved mandolin, slim neck", "batch_name": "Spring pair"}
    answer = phone.patch(f"{URL}{build.pk}/", changed, headers={"If-Match": etag})
    assert (answer.data["title"], answer.data["batch_name"]) == (
        "Carved mandolin, slim neck",
        "Spring pair",
    )
    assert phone.patch(f"{URL}{build.pk}/", changed).status_code == 428
    late = phone.patch(f"{URL}{build.pk}/", changed, headers={"If-Match": etag})
    assert late.status_code == 412
    alone = phone.patch(f"{URL}{build.pk}/", {"batch_name": ""}, headers={"If-Match": "*"})
    assert alone.data["batch"] is None


def test_a_serial_number_of_another_is_declined(phone, build):
    other = make_build()
    answer = phone.patch(f"{URL}{build.pk}/", {"serial": other.serial}, headers={"If-Match": "*"})
    assert (answer.status_code, answer.data["errors"][0]["field"]) == (409, "serial")


def test_the_chosen_piece_is_put_aside_and_the_rest_is_short(phone, build, spruce):
    second = spruce.lots.last()
    chosen = [{"line": build.lines.get().pk, "lots": [second.number]}]
    assert act(phone, build, "put-aside", chosen=chosen).data["shortages"] == []
    assert second.promises.get().holder == build.holder
    wanting = make_build(lines=[planned_line(spruce, "2")])
    [short] = act(phone, wanting, "put-aside").data["shortages"]
    assert (short["missing"], short["lead_time_days"]) == ("1.000", 21)


def test_a_build_is_finished_and_closed(phone, build):
    act(phone, build, "put-aside")
    assert act(phone, build, "close").status_code == 409
    assert act(phone, build, "finish").data["state"] == BuildState.FINISHED
    assert act(phone, build, "close").data["state"] == BuildState.CLOSED
    assert build.lines.get().material.free == 2


def test_a_build_is_cancelled_with_a_reason(phone, build):
    assert act(phone, build, "cancel", why="Changed mind.").data["state"] == BuildState.CANCELLED
    assert build.notes.get().text == "Cancelled. Changed mind."
    assert Build.objects.get().is_open is False


def test_a_photo_is_read_where_its_note_says(phone, build, settings, tmp_path):
    from tests.shop.builds.test_add_build_note import picture

    settings.MEDIA_ROOT = tmp_path
    note = phone.post(f"{URL}{build.pk}/notes/", {"photo": picture()}, format="multipart").data
    answer = phone.get(note["photo"])
    assert answer.headers["Content-Type"] == "image/jpeg"
    assert b"".join(answer.streaming_content).startswith(b"\xff\xd8")
    small = phone.get(note["small"])
    assert b"".join(small.streaming_content).startswith(b"\xff\xd8")
    text = phone.post(f"{URL}{build.pk}/notes/", {"text": "Rings clear"}).data
    assert text["photo"] is text["small"] is None
    assert phone.get(f"{URL}{build.pk}/notes/{text['id']}/photo/").status_code == 404
