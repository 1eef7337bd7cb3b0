"""Fretwire worked out on its page."""

from decimal import Decimal

import pytest
from django.urls import reverse

from tests.factories import make_family, make_material

MANDOLIN = {
    "scale": "352",
    "frets": "22",
    "nut_width": "28.6",
    "last_fret_width": "41",
    "overhang": "3",
    "extra": "12",
}


def test_the_wire_of_a_mandolin_is_worked_out_and_offered_to_be_drawn(desk):
    wire = make_material("Fretwire, medium", "length", unit="m", family=make_family("Fretwire"))
    page = desk.get(reverse("fretwire"), MANDOLIN)
    # about 0.93 m for 22 frets: TRADE section 3D, common practice, no source
    assert 890 < page.context["net"] < 960
    assert len(page.context["frets"]) == 22
    assert page.context["frets"][11].from_nut == 176
    draw = f"{reverse('draw_material', args=[wire.pk])}?quantity={page.context['draw']}"
    assert draw in page.content.decode()
    form = desk.get(draw).context["form"]
    assert form["quantity"].value() == f"{page.context['draw'] / 1000}"


def test_sizes_may_be_typed_in_inches(desk):
    page = desk.get(reverse("fretwire"), {**MANDOLIN, "scale": "13 7/8 in"})
    assert round(page.context["frets"][11].from_nut, 1) == Decimal("176.2")


@pytest.mark.parametrize(
    "change",
    [{"frets": "0"}, {"scale": "0"}, {"scale": "long"}, {"nut_width": ""}, {"extra": "-1"}],
    ids=str,
)
def test_a_fingerboard_that_can_t_be_is_said(desk, change):
    page = desk.get(reverse("fretwire"), {**MANDOLIN, **change})
    assert "frets" not in page.context
    assert "Check these fields" in page.content.decode()
