"""Sets of strings on their pages."""

from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.models import SingleString, StringSet
from inventory.strings.calc.string_sets import PlannedString
from inventory.strings.services import StringChosen, save_string_set
from tests.factories import make_material

NEW = reverse("new_string_set")
HEAD = {"material": "Mandolin set", "instrument": "Mandolin", "scale_mm": "350"}


@pytest.fixture
def singles(workshop):
    make_material("Mandolin set")
    return [make_material("single 36"), make_material("single 10")]


@pytest.fixture
def kept(singles):
    strings = [
        StringChosen(material=one, string=PlannedString(pitch="A4", gauge=Decimal(14), count=2))
        for one in singles
    ]
    return save_string_set(
        material=make_material("Octave set"), scale_mm=Decimal(350), strings=strings
    )


def typed(*rows, **head):
    data = {"form-TOTAL_FORMS": str(len(rows)), "form-INITIAL_FORMS": "0", **HEAD, **head}
    for place, row in enumerate(rows):
        fields = ("pitch", "count", "single", "gauge", "kind", "weight")
        data |= {f"form-{place}-{name}": value for name, value in zip(fields, row, strict=False)}
    return data


G3 = ("G3", "2", "single 36", "36", "wound", "0.00023964 lb/in")
E5 = ("E5", "2", "single 10", ".010", "plain", "")


def test_a_set_is_written_down_and_shows_its_pull(desk, singles):
    answer = desk.post(NEW, typed(G3, E5))
    row = StringSet.objects.get()
    assert answer.url == reverse("string_set", args=[row.pk])
    text = desk.get(answer.url).text
    assert "84.7" in text
    assert "1672 MPa" in text
    assert desk.get(reverse("recipe", args=[row.recipe_id])).url == answer.url


def test_what_is_known_of_a_single_need_not_be_typed_again(desk, singles):
    desk.post(NEW, typed(G3, E5))
    make_material("Second set")
    again = ("G3", "1", "single 36", "", "plain", "")
    desk.post(NEW, typed(again, material="Second set"))
    single = StringSet.objects.get(recipe__material__name="Second set").strings.get().single
    assert (single.gauge, single.grams_per_metre) == (36, Decimal("4.27948"))


def test_strings_are_tried_without_naming_what_is_drawn(desk, singles):
    data = typed(("E5", "2", "", "10", "plain", ""))
    assert "84.7" in desk.post(reverse("try_strings"), data).text
    part = desk.post(reverse("try_strings"), data, headers={"HX-Request": "true"}).text
    assert "84.7" in part
    assert "<html" not in part
    assert not StringSet.objects.exists()
    no_scale = desk.post(reverse("try_strings"), data | {"scale_mm": ""}).text
    assert "Enter a scale length" in no_scale


@pytest.mark.parametrize(
    ("row", "head", "status", "words"),
    [
        (("H5", "2", "single 10", "10"), {}, 422, "is not a note"),
        (("E5", "2", "single 10", ""), {}, 422, "Enter the gauge"),
        (("G3", "2", "single 36", "36", "wound", ""), {}, 422, "can't be calculated"),
        (("E5", "2", "", "10"), {}, 409, "choose the single string"),
        (("E5", "2", "nobody", "10"), {}, 422, "There is no material"),
        (E5, {"material": "nothing"}, 422, "There is no material"),
        (("", "", "", ""), {}, 409, "at least one string"),
    ],
)
def test_what_can_t_be_is_said_at_its_place(desk, singles, row, head, status, words):
    answer = desk.post(NEW, typed(row, **head))
    assert answer.status_code == status
    assert words in answer.text.replace("&#x27;", "'")
    assert not StringSet.objects.exists()


def test_a_set_is_changed(desk, kept):
    address = reverse("edit_string_set", args=[kept.pk])
    assert "single 36" in desk.get(address).text
    desk.post(address, typed(E5, material="Octave set", scale_mm="520"))
    kept.refresh_from_db()
    assert (kept.scale_mm, [row.pitch for row in kept.strings.all()]) == (520, ["E5"])


def test_the_page_offers_a_sleeve_for_today(desk, kept):
    text = desk.get(reverse("string_set", args=[kept.pk])).text
    assert f'action="{reverse("sleeve_pdf", args=[kept.pk])}"' in text
    assert "Print sleeve (PDF)" in text


def test_the_end_of_a_string_is_typed_once_and_known_in_every_set(desk, singles):
    data = typed(G3, E5) | {"form-0-end": "ball", "form-1-end": ""}
    desk.post(NEW, data)
    assert [one.end for one in SingleString.objects.order_by("gauge")] == ["", "ball"]
    row = StringSet.objects.get()
    page = desk.get(reverse("edit_string_set", args=[row.pk])).text
    assert '<option value="ball" selected>ball</option>' in page
    desk.post(reverse("edit_string_set", args=[row.pk]), typed(G3, E5))
    assert SingleString.objects.get(material=singles[0]).end == "ball"
