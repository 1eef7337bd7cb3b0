"""The hours of a pattern on paper: its figures, its pictures in ink, nothing for a client."""

from io import BytesIO

import pytest
from django.urls import reverse
from pypdf import PdfReader

from shop.base.pictures.paper import STYLE
from shop.base.pictures.shapes import Drawing, Line, Words
from tests.shop.drawn import elements
from tests.shop.factories import make_template
from tests.shop.past_builds import make_past_builds, make_pattern

pytestmark = pytest.mark.django_db


@pytest.fixture
def paper(desk, workshop):
    pattern = make_pattern()
    make_past_builds(pattern, 5)
    answer = desk.get(reverse("template_hours_paper", args=[pattern.pk]), {"batch": 2})
    assert answer["Content-Type"] == "application/pdf"
    return PdfReader(BytesIO(answer.content))


def test_the_paper_holds_figures_and_the_words_of_its_pictures(paper):
    text = " ".join(" ".join(page.extract_text() for page in paper.pages).split())
    assert "Hours for Carved mandolin" in text
    assert "in a batch of 2" in text
    assert "From 5 past builds" in text
    assert "build number" in text  # said only in a picture
    assert "whole builds inside" in text
    assert "for the maker only" in text


def test_the_paper_is_drawn_not_painted(paper):
    assert all(not page.images for page in paper.pages)


def test_a_picture_on_paper_carries_its_style():
    sheet = Drawing(width=9, height=9, shapes=(Line(0, 0, 9, 9, "axis"), Words(1, 8, "x")))
    assert "style" not in {one.tag for one in elements(sheet)}
    assert sheet.svg("picture", "says", STYLE).count("<style>") == 1


def test_a_pattern_without_hours_has_no_paper(desk, workshop):
    bare = make_template("Bare")
    assert desk.get(reverse("template_hours_paper", args=[bare.pk])).status_code == 404
