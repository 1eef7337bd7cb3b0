"""The sleeve of a string set: what it says, what it leaves out, and how it lies on its paper."""

from datetime import date
from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.models import SingleString, Workshop
from inventory.strings.calc.string_sets import PlannedString
from inventory.strings.documents import sleeve_of
from inventory.strings.services import StringChosen, save_string_set
from tests.factories import make_material
from tests.inventory.desk.test_stock_papers import A4, LETTER, read, size, tags, words

MADE = date(2027, 3, 9)


def string(name, pitch, gauge, weight=None, end="ball", count=2):
    return StringChosen(
        material=make_material(name, replacement_price=Decimal("3.37")),
        end=end,
        string=PlannedString(
            pitch=pitch, gauge=Decimal(gauge), grams_per_metre=weight, count=count
        ),
    )


@pytest.fixture
def kept(workshop):
    """A pair of wound strings and a single plain one, whose end nobody said."""
    return save_string_set(
        material=make_material("Electric mandolin set", replacement_price=Decimal("11.80")),
        scale_mm=Decimal(350),
        instrument="Electric mandolin",
        note="A little lighter on top.\nNo coating.",
        strings=[
            string("wound 36", "G3", "36", Decimal("4.28")),
            string("plain 10", "E5", "10", end="", count=1),
        ],
    )


def printed(desk, kept, **given):
    return read(desk.get(reverse("sleeve_pdf", args=[kept.pk]), given))


def test_it_says_what_the_strings_are_for_whom_and_when(desk, kept):
    said = words(printed(desk, kept, made_on="2027-03-09", made_for="Osric Pondweed"))
    for words_of_it in (
        "Electric mandolin set",
        "Electric mandolin, 350 mm scale, tuned G3 E5",
        "G3 2 0.036 0.91 wound, ball end 80.6 161.1",
        "E5 1 0.010 0.25 plain 84.7 84.7",
        "Total 3 245.8",
        "For Osric Pondweed",
        "Made on 9 Mar 2027",
        "A little lighter on top.",
        "No coating.",
        "Fold the tabs in",
    ):
        assert words_of_it in said, words_of_it


def test_no_cost_stands_on_it(desk, kept):
    said = words(printed(desk, kept))
    assert not [cost for cost in ("3.37", "11.80", "13.48", "cost", "price") if cost in said]


@pytest.mark.parametrize(("country", "paper"), [("GB", A4), ("US", LETTER)])
def test_it_lies_on_one_sheet_of_the_countrys_paper(desk, kept, country, paper):
    Workshop.objects.update(country=country)
    pdf = printed(desk, kept)
    assert (len(pdf.pages), size(pdf)) == (1, paper)
    assert "the front is 104 mm wide" in words(pdf)


def test_its_lines_are_told_to_whom_can_not_see_them(desk, kept):
    assert ("/Figure", "Where to cut and to fold") in tags(printed(desk, kept))


def test_a_day_that_can_not_be_read_is_today(desk, kept):
    assert "Made on" in words(printed(desk, kept, made_on="yesterday"))


@pytest.mark.parametrize("rows", [1, 8, 24])
def test_any_set_that_can_be_written_down_has_room(desk, kept, rows):
    strings = [string(f"s{row}", "A4", "14") for row in range(rows)]
    save_string_set(
        material=kept.recipe.material, scale_mm=Decimal(350), strings=strings, note="x " * 1000
    )
    pdf = printed(desk, kept)
    said = words(pdf)
    assert len(pdf.pages) == 1
    assert said.count("A4 2 0.014") == rows
    assert said.count("x x") > 400


def test_a_long_note_is_set_smaller_and_a_short_one_large(kept):
    kept.note = "short"
    assert sleeve_of(kept, made_on=MADE).note_letters == 9
    kept.note = "word " * 220
    middle = sleeve_of(kept, made_on=MADE).note_letters
    kept.note = "word " * 400
    assert 9 > middle > sleeve_of(kept, made_on=MADE).note_letters >= 5


def test_a_gauge_finer_than_a_thousandth_is_written_out(kept):
    SingleString.objects.update(gauge=Decimal("10.5"))
    kept.refresh_from_db()
    assert {f"{one.gauge_inches}" for one in sleeve_of(kept, made_on=MADE).strings} == {"0.0105"}


def test_the_api_gives_the_same_paper(phone, kept):
    url = f"/api/v1/string-sets/{kept.pk}/sleeve/"
    assert "For Osric" in words(read(phone.get(url, {"made_for": "Osric"})))
    assert phone.get(url, {"made_on": "yesterday"}).status_code == 400
    assert phone.get(f"/api/v1/string-sets/{kept.pk}/").json()["ends"] == ["ball", ""]
    as_json = phone.get(url, HTTP_ACCEPT="application/json")
    assert (as_json.status_code, read(as_json).pages[0] is not None) == (200, True)


def test_an_inch_workshop_reads_the_pull_in_pounds(desk, kept):
    Workshop.objects.update(units=Workshop.IMPERIAL)
    said = words(printed(desk, kept))
    assert "One, lb All, lb" in said
    assert "18.1 36.2" in said
    assert "Total 3 55.3" in said
