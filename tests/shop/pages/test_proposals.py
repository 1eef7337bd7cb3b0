"""The page on which a piece is chosen for a line of a build."""

from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.models import Promise
from inventory.services.promise_stock import promise_stock
from shop.services.put_aside import put_aside
from tests.shop.factories import NOW, make_build, planned_line
from tests.shop.pieces import line_for, make_tops, receive_tops

pytestmark = pytest.mark.django_db


@pytest.fixture
def tops(workshop):
    return make_tops()


@pytest.fixture
def address(tops):
    build = make_build(lines=[planned_line(tops, template_line=line_for(tops))])
    return reverse("build_piece", args=[build.lines.get().pk])


def test_the_page_says_why_and_why_not(desk, address):
    text = desk.get(address).text
    assert "Wanted: spruce, at least 420 mm long, 150 mm wide" in text
    assert "Fits exactly in width, ready since 3 May 2025, oldest of two" in text
    assert "Too short by 8 mm" in text


def test_the_order_is_turned_on_the_spot(desk, tops, address):
    shown = desk.get(f"{address}?first=dearest").context["candidates"]
    assert shown.proposed[0].lot == tops.lots.order_by("pk")[2]
    assert desk.get(f"{address}?first=nonsense").context["candidates"].first == "oldest"


def test_a_piece_that_was_passed_over_may_be_taken_all_the_same(desk, tops, address):
    short = tops.lots.order_by("pk")[1]
    assert desk.post(address, {"lot": short.pk}).status_code == 302
    assert Promise.objects.get().lot == short


def test_a_piece_of_somebody_else_has_no_button(desk, tops, address):
    taken = tops.lots.order_by("pk")[0]
    other = {"holder": "build:99", "holder_name": "24-03"}
    promise_stock(material=tops, quantity=Decimal(1), lot=taken, now=NOW, **other)
    text = desk.get(address).text
    assert "Promised to 24-03" in text
    assert f'name="lot" value="{taken.pk}"' not in text
    assert desk.post(address, {"lot": taken.pk}).status_code == 422


def test_of_a_large_shelf_the_best_are_shown(desk, tops, address):
    receive_tops(tops, NOW.date(), "75.00", *[440] * 50)
    text = desk.get(address).text
    assert "The best 40 of 52." in text
    assert text.count('name="lot"') == 41


@pytest.mark.parametrize("more", [0, 5])
def test_the_page_asks_as_often_however_much_lies_there(
    desk, tops, address, more, django_assert_max_num_queries
):
    for _ in range(more):
        receive_tops(tops, NOW.date(), "75.00", 440, 441)
    with django_assert_max_num_queries(14):
        desk.get(address)


def test_a_draw_says_whom_a_piece_is_put_aside_for_and_begins_with_the_builds_own(desk, tops):
    build = make_build(lines=[planned_line(tops, template_line=line_for(tops))])
    first, second, _ = tops.lots.order_by("pk")
    other = {"holder": "build:99", "holder_name": "24-03"}
    promise_stock(material=tops, quantity=Decimal(1), lot=first, now=NOW, **other)
    put_aside(build=build, now=NOW, chosen={1: [second]})

    page = desk.get(reverse("build_draw", args=[build.pk]), {"line": build.lines.get().pk})

    assert f"{first.number}, put aside for 24-03" in page.text
    assert f'value="{second.pk}" selected>{second.number}, put aside for {build}' in page.text
