import pytest

from inventory.models import KeptAs, Promise, Species
from tests.factories import make_material
from tests.quotes.factories import make_quote
from tests.shop.factories import TODAY, make_build, make_template, planned_line
from tests.shop.shelf_pieces import line_for, make_tops, receive_tops

pytestmark = pytest.mark.django_db
URL = "/api/v1/"


@pytest.fixture
def tops(workshop):
    return make_tops()


@pytest.fixture
def line(tops):
    return line_for(tops)


@pytest.fixture
def build_line(tops, line):
    return make_build(lines=[planned_line(tops, template_line=line)]).lines.get()


def reasons(rows):
    return {row["number"]: row["reason"] for row in rows}


def test_a_line_of_a_build_is_answered_with_every_piece_and_why(phone, tops, build_line):
    old, short, new = (lot.number for lot in tops.lots.order_by("pk"))
    found = phone.get(f"{URL}build-lines/{build_line.pk}/proposals/").json()
    assert found["sought"]["wood"] == "spruce"
    assert [row["number"] for row in found["proposed"]] == [old]
    assert list(reasons(found["others"])) == [new]
    assert reasons(found["passed_over"]) == {short: "too short by 8 mm"}


def test_the_dearest_may_be_asked_for(phone, tops, line):
    asked = {"first": "dearest", "wanted": 2}
    found = phone.get(f"{URL}template-lines/{line.pk}/proposals/", asked).json()
    assert [row["cost"] for row in found["proposed"]] == ["75.000", "32.000"]
    wrong = phone.get(f"{URL}template-lines/{line.pk}/proposals/", {"first": "cheapest"})
    assert (wrong.status_code, "first" in wrong.text) == (400, True)


def test_a_row_of_a_quote_is_answered_too(phone, tops, line):
    quote = make_quote(template=line.template, on=TODAY)
    row = quote.materials.get()
    found = phone.get(f"{URL}quotes/{quote.pk}/materials/{row.pk}/proposals/").json()
    assert found["proposed"][0]["number"] == tops.lots.order_by("pk")[0].number


def test_a_line_of_other_stock_is_told_so(phone, workshop):
    screws = make_build(lines=[planned_line(make_material("Screws"))]).lines.get()
    answer = phone.get(f"{URL}build-lines/{screws.pk}/proposals/")
    assert answer.status_code == 409
    assert "kept as pieces" in answer.json()["detail"]


def test_the_order_may_be_turned_as_a_build_is_put_aside_for(phone, tops, build_line):
    url = f"{URL}builds/{build_line.build_id}/put-aside/"
    assert phone.post(url, {"first": "dearest"}).json()["shortages"] == []
    assert Promise.objects.get().lot.remaining_cost == 75


def test_a_template_line_keeps_what_it_asks_of_a_piece(phone, workshop, tops):
    line = {
        "template": make_template().pk,
        "position": 1,
        "name": "Top",
        "family": tops.family_id,
        "quantity": "1",
        "unit": "ea",
        "wood": "spruce, cedar",
        "piece_length_mm": "420",
        "piece_parts": 2,
    }
    kept = phone.post(f"{URL}template-lines/", line)
    assert kept.status_code == 201, kept.json()
    shown = kept.json()
    asked = (shown["wood"], shown["piece_length_mm"], shown["piece_width_mm"])
    assert asked == ("spruce, cedar", "420.000", None)


def test_pieces_of_other_materials_are_answered_apart_and_put_aside_by_number(phone, build_line):
    cedar = make_material("Cedar top", KeptAs.PIECE, species=Species.objects.create(name="Cedar"))
    receive_tops(cedar, TODAY, "90.00", 430)
    found = phone.get(f"{URL}build-lines/{build_line.pk}/proposals/").json()
    assert found["of_like_wood"] == []
    [other] = found["of_other_wood"]
    assert (other["material"], other["reason"].split(";")[0]) == (cedar.pk, "Cedar, not spruce")

    chosen = [{"line": build_line.pk, "lots": [other["number"]]}]
    url = f"{URL}builds/{build_line.build_id}/put-aside/"
    assert phone.post(url, {"chosen": chosen}, format="json").json()["shortages"] == []
    assert Promise.objects.get().material == cedar


def test_a_hold_and_a_yes_take_the_piece_that_is_named_with_them(phone, settings, tmp_path, line):
    settings.MEDIA_ROOT = tmp_path
    quote = make_quote(template=line.template, on=TODAY)
    row = quote.materials.get()
    old, _, new = line.material.lots.order_by("pk")
    phone.post(f"{URL}quotes/{quote.pk}/issue/")
    held = {"until": "2099-01-01", "pieces": [{"row": row.pk, "lot": new.number}]}
    assert phone.post(f"{URL}quotes/{quote.pk}/hold/", held, format="json").json() == []
    assert Promise.objects.get(outstanding__gt=0).lot == new
    best = {"by": "Osric", "pieces": [{"row": row.pk, "lot": None}]}
    phone.post(f"{URL}quotes/{quote.pk}/accept/", best, format="json")
    assert Promise.objects.get(outstanding__gt=0).lot == old
