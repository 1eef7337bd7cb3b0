"""Shapes are set as SVG that a parser reads back, with every word escaped."""

import pytest

from shop.base.pictures.axes import Scale, round_step, scale_to
from shop.base.pictures.shapes import Area, Bar, Curve, Dot, Drawing, Line, Words, fitted
from tests.shop.drawn import elements

NASTY = "<b>Posy & \"Bram\"</b> 'n'"


def test_words_are_escaped_and_read_back():
    shapes = (Words(1, 2, NASTY), Dot(1, 2, 3, "fill-1", NASTY), Bar(1, 2, 3, 4, "band", NASTY))
    sheet = Drawing(width=10, height=10, shapes=shapes)
    root, *rest = elements(sheet, NASTY)
    assert root.attrib["aria-label"] == NASTY
    assert [one.text for one in rest if one.text] == [NASTY] * 3


def test_shapes_say_where_they_stand_to_a_tenth_of_a_pixel():
    shapes = (
        Line(0, 1.26, 2, 3, "axis"),
        Curve(((0, 1), (2.04, 3)), "line-1"),
        Area(((0, 1), (2, 3), (4, 5)), "band"),
    )
    _, line, curve, area = elements(Drawing(width=10, height=10, shapes=shapes))
    assert line.attrib == {"class": "axis", "x1": "0", "y1": "1.3", "x2": "2", "y2": "3"}
    assert curve.attrib["points"] == "0.0,1.0 2.0,3.0"
    assert area.tag == "polygon"


def test_no_picture_carries_a_style():
    shapes = (Words(1, 2, "x", "label", "end"), Dot(1, 2, 3, "fill-1"))
    assert "style" not in Drawing(width=10, height=10, shapes=shapes).svg("wide", "x")


@pytest.mark.parametrize(
    ("text", "width", "shown"),
    [
        ("Carve neck", 100, "Carve neck"),
        ("Carve and graduate top, sound holes", 105, "Carve and grad…"),
        ("Neck blank, truss rod", 85, "Neck blank…"),
        ("x", 0, "x…"),
    ],
)
def test_a_name_is_cut_where_it_would_be_too_wide(text, width, shown):
    assert fitted(text, width) == shown


@pytest.mark.parametrize(
    ("reach", "marks", "step"),
    [(30, 8, 5), (24, 5, 5), (152, 7, 25), (1, 5, 0.2), (0.9, 5, 0.2), (100, 5, 20), (12, 5, 2.5)],
)
def test_marks_are_round_figures(reach, marks, step):
    assert round_step(reach, marks) == pytest.approx(step)


@pytest.mark.parametrize("highest", [0, 0.3, 1, 7, 99, 100, 101, 12345])
def test_a_scale_reaches_what_it_shows_and_little_more(highest):
    scale, marks = scale_to(highest, 0, 100, 5)
    assert marks[-1] >= highest
    assert 2 <= len(marks) <= 6
    assert scale.at(0) == 0
    assert scale.at(marks[-1]) == pytest.approx(100)


def test_what_lies_beyond_a_scale_is_set_at_its_edge():
    scale = Scale(0, 10, 5, 105)
    assert (scale.at(-1), scale.at(5), scale.at(99)) == (5, 55, 105)
