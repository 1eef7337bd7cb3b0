"""The page on which a piece is chosen for a line of a build."""

from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.models import KeptAs, Promise, Species
from inventory.reservations.services import reserve_stock
from shop.builds.services.stock import reserve_for_build
from tests.factories import make_material
from tests.shop.factories import NOW, make_build, planned_line
from tests.shop.shelf_pieces import line_for, make_tops, receive_tops

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
    reserve_stock(material=tops, quantity=Decimal(1), lot=taken, now=NOW, **other)
    text = desk.get(address).text
    assert "Reserved for 24-03" in text
    assert f'name="lot" value="{taken.pk}"' not in text
    assert desk.post(address, {"lot": taken.pk}).status_code == 409


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
    with django_assert_max_num_queries(24):
        desk.get(address)


def test_a_piece_of_another_material_is_put_aside_by_a_tap_or_its_number(desk, address):
    cedar = make_material("Cedar top", KeptAs.PIECE, species=Species.objects.create(name="Cedar"))
    receive_tops(cedar, NOW.date(), "90.00", 430, 300)
    large, small = cedar.lots.order_by("pk")
    page = desk.get(address)
    assert "Other woods, large enough: 1" in page.text
    assert "Cedar, not spruce; fits exactly in width" in page.text

    desk.post(address, {"lot": large.pk})
    assert Promise.objects.get(outstanding__gt=0).lot == large
    desk.post(address, {"number": f" {small.number.lower()} "})
    assert Promise.objects.get(outstanding__gt=0).lot == small
    assert f"{small.number}</a> of Cedar top" in desk.get(address).text


def test_a_number_that_no_piece_has_is_said_and_kept(desk, address):
    page = desk.post(address, {"number": "T-9999"})
    assert page.status_code == 409
    assert "There is no piece T-9999." in page.text
    assert 'value="T-9999"' in page.text


def test_what_stands_in_is_drawn_and_shown_under_its_own_name(desk, tops):
    cedar = make_material("Cedar top", KeptAs.PIECE)
    receive_tops(cedar, NOW.date(), "90.00", 430)
    lot = cedar.lots.get()
    build = make_build(lines=[planned_line(tops, template_line=line_for(tops))])
    line = build.lines.get()
    reserve_for_build(build=build, now=NOW, chosen={1: [lot]})

    shown = desk.get(reverse("build_material", args=[build.pk])).text
    assert f'{lot.number}</a> <span class="note">of Cedar top</span>' in shown
    page = desk.get(reverse("build_draw", args=[build.pk]), {"line": line.pk})
    assert page.context["form"].material == cedar
    assert f'value="{lot.pk}" selected>{lot.number}, reserved for {build}' in page.text
    assert page.context["form"]["quantity"].value() == "1"


def test_a_draw_says_whom_a_piece_is_put_aside_for_and_begins_with_the_builds_own(desk, tops):
    build = make_build(lines=[planned_line(tops, template_line=line_for(tops))])
    first, second, _ = tops.lots.order_by("pk")
    other = {"holder": "build:99", "holder_name": "24-03"}
    reserve_stock(material=tops, quantity=Decimal(1), lot=first, now=NOW, **other)
    reserve_for_build(build=build, now=NOW, chosen={1: [second]})

    page = desk.get(reverse("build_draw", args=[build.pk]), {"line": build.lines.get().pk})

    assert f"{first.number}, reserved for 24-03" in page.text
    assert f'value="{second.pk}" selected>{second.number}, reserved for {build}' in page.text
