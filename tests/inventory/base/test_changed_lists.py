"""What changed in a list since a phone last asked, what is gone from it, and what is as it was."""

import pytest
from django.core.cache import caches

from inventory.models import Place
from tests.factories import make_material
from tests.inventory.stocked import stocked, stocked_pieces
from tests.shop.factories import make_build

pytestmark = pytest.mark.django_db
API = "/api/v1"
KEPT = [
    "builds", "draws", "lots", "materials", "pieces", "places", "promises", "readings",
    "time-entries",
]  # fmt: skip


def ask(phone, path, since="", **filters):
    answer = phone.get(f"{API}/{path}/changed/", filters | ({"since": since} if since else {}))
    assert answer.status_code == 200, answer.json()
    return answer.json()


@pytest.mark.parametrize("path", KEPT)
def test_every_list_that_a_phone_keeps_tells_what_changed(phone, path):
    told = ask(phone, path)
    assert (told["is_whole"], told["changed"], told["gone"]) == (True, [], [])
    again = ask(phone, path, told["cursor"])
    assert again == {"cursor": told["cursor"], "is_whole": False, "changed": [], "gone": []}


def test_rows_come_once_and_again_when_they_change(phone):
    bench, attic = (Place.objects.create(name=name) for name in ("Bench", "Attic"))
    first = ask(phone, "places")
    assert {row["name"] for row in first["changed"]} == {"Bench", "Attic"}
    Place.objects.filter(pk=bench.pk).update(name="Long bench")
    shed = Place.objects.create(name="Shed")
    then = ask(phone, "places", first["cursor"])
    assert {row["id"] for row in then["changed"]} == {bench.pk, shed.pk}
    assert (then["is_whole"], then["gone"]) == (False, [])
    gone = attic.pk
    attic.delete()
    last = ask(phone, "places", then["cursor"])
    assert (last["changed"], last["gone"]) == ([], [gone])
    # Whoever missed a step is told all of it.
    missed = ask(phone, "places", first["cursor"])
    assert {row["id"] for row in missed["changed"]} == {bench.pk, shed.pk}
    assert missed["gone"] == [gone]


def test_a_row_that_a_filter_lets_go_is_gone(phone):
    material = make_material()
    told = ask(phone, "materials", is_archived="false")
    assert [row["id"] for row in told["changed"]] == [material.pk]
    material.is_archived = True
    material.save()
    then = ask(phone, "materials", told["cursor"], is_archived="false")
    assert (then["changed"], then["gone"]) == ([], [material.pk])


def test_a_change_in_another_table_that_a_row_shows_is_told(phone):
    material = make_material()
    told = ask(phone, "materials")
    stocked(material=material, quantity=4)
    (row,) = ask(phone, "materials", told["cursor"])["changed"]
    assert row["on_hand"] == "4.000"


def test_pieces_go_by_their_number(phone):
    material, (lot,) = stocked_pieces(1)
    state = phone.get(f"{API}/pieces/{lot.number}/").json()["state"]
    asked = {"lots": {"on_shelf": "true"}, "pieces": {"state": state}}
    told = {path: ask(phone, path, **filters)["cursor"] for path, filters in asked.items()}
    scrap = {"lot": lot.number, "quantity": "1", "why": "split"}
    assert phone.post(f"{API}/materials/{material.pk}/scrap/", scrap).status_code == 201
    for path, filters in asked.items():
        assert ask(phone, path, told[path], **filters)["gone"] == [lot.number]


@pytest.mark.parametrize("since", ["0" * 32, "yesterday", "Ä b", "x" * 200])
def test_an_unknown_cursor_is_answered_with_everything(phone, since):
    Place.objects.create(name="Bench")
    told = ask(phone, "places", since)
    assert (told["is_whole"], len(told["changed"])) == (True, 1)


def test_a_cursor_that_made_room_is_answered_with_everything_and_kept_anew(phone):
    told = ask(phone, "places")
    caches["lists"].clear()
    assert ask(phone, "places", told["cursor"])["is_whole"] is True
    assert ask(phone, "places", told["cursor"])["is_whole"] is False


def test_an_unknown_filter_is_refused_here_too(phone):
    assert phone.get(f"{API}/places/changed/", {"wanted": "1"}).status_code == 400
    assert phone.get(f"{API}/places/", {"since": "x"}).status_code == 400


def test_a_build_is_told_when_one_of_its_stages_is_begun(phone):
    build = make_build()
    told = ask(phone, "builds", open="true")
    assert [row["id"] for row in told["changed"]] == [build.pk]
    phone.post(f"{API}/stages/{build.stages.first().pk}/start/", {})
    then = ask(phone, "builds", told["cursor"], open="true")
    assert [row["id"] for row in then["changed"]] == [build.pk]


@pytest.mark.parametrize("rows", [1, 12])
def test_what_changed_takes_the_same_queries_for_few_and_many(
    phone, rows, django_assert_num_queries
):
    for number in range(rows):
        make_material(name=f"Spruce {number}")
    cursor = ask(phone, "materials")["cursor"]
    make_material(name="Maple")
    with django_assert_num_queries(QUERIES):
        ask(phone, "materials", cursor)


QUERIES = 9
"""How many rows, the rows with their family, how the list stood, and keeping how it stands."""


@pytest.mark.parametrize("path", ["places/", "places/{pk}/", "places/changed/"])
def test_what_is_as_it_was_is_not_sent_again(phone, path):
    place = Place.objects.create(name="Bench")
    address = f"{API}/{path.format(pk=place.pk)}"
    read = phone.get(address)
    assert read["Cache-Control"] == "private, no-cache"
    again = phone.get(address, headers={"If-None-Match": read["ETag"]})
    assert (again.status_code, again.content) == (304, b"")
    Place.objects.update(name="Long bench")
    assert phone.get(address, headers={"If-None-Match": read["ETag"]}).status_code == 200


def test_a_list_that_is_too_long_to_keep_is_refused_until_it_is_narrowed(phone, monkeypatch):
    monkeypatch.setattr("inventory.base.api.changed.MOST_ROWS", 2)
    for kept in range(3):
        make_material(is_archived=kept > 0)
    refused = phone.get(f"{API}/materials/changed/")
    assert refused.status_code == 400
    assert "3 rows are in this list" in refused.content.decode()
    assert len(ask(phone, "materials", is_archived="true")["changed"]) == 2
