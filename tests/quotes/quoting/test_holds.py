"""What is held for quotes, and what of it the shelf no longer keeps."""

from datetime import timedelta
from decimal import Decimal

import pytest

from inventory.models import KeptAs
from inventory.shelf.services.moves import draw_stock, scrap_stock
from quotes.desk.queries import todays_books
from quotes.quoting.queries.holds import held_by, lost_of
from quotes.quoting.queries.quote_list import quotes_in, standings
from quotes.quoting.services.holds import hold_stock
from tests.inventory.stocked import stocked
from tests.quotes.factories import make_quote
from tests.shop.factories import NOW, TODAY, make_template_line
from tests.shop.shelf_pieces import line_for, make_tops

pytestmark = pytest.mark.django_db


@pytest.fixture
def tops(workshop):
    return make_tops()


@pytest.fixture
def wire(workshop):
    return stocked(KeptAs.LENGTH, 1000, name="Fretwire", unit="m")


@pytest.fixture
def quote(tops, wire):
    template = line_for(tops).template
    make_template_line(template, "Frets", material=wire, quantity=Decimal("0.9"), unit="m")
    quote = make_quote(template=template, on=TODAY)
    hold_stock(quote=quote, until=TODAY + timedelta(9), on=TODAY, now=NOW)
    return quote


def take(material, quantity):
    draw_stock(material=material, quantity=Decimal(quantity), holder="build:9", now=NOW)


def test_what_is_held_is_told_by_row_and_whole(quote, tops, wire):
    top, frets = held_by([quote])[quote.pk]
    assert (top.name, top.lot, top.words) == (
        "Top",
        tops.lots.first(),
        f"{tops.lots.first().number}, {tops}",
    )
    assert (frets.name, frets.words, frets.lost) == ("Frets", "0.9 m of Fretwire", "")
    assert lost_of([top, frets]) == ""


def test_what_somebody_took_is_lost(quote, tops, wire):
    lot = tops.lots.first()
    scrap_stock(material=tops, quantity=Decimal(1), lot=lot, why="a crack", now=NOW)
    take(wire, 300)
    held = held_by([quote])[quote.pk]
    assert lost_of(held) == f"{lot.number} is rejected, 0.2 m of Fretwire was taken"
    assert held[1].words == "0.7 m of Fretwire"


def test_the_list_and_the_day_say_that_a_quote_lost_what_it_held(quote, wire):
    [before] = standings(quotes_in("open"), TODAY)
    assert (before.remark, before.needs_hand) == ("drafted today", False)
    assert todays_books(TODAY).lost == []
    take(wire, 300)
    [after] = standings(quotes_in("open"), TODAY)
    assert (
        after.remark
        == "reserved piece no longer available: 0.2 m of Fretwire was taken; drafted today"
    )
    assert after.needs_hand
    assert todays_books(TODAY).lost == [(quote, "0.2 m of Fretwire was taken")]


def test_the_page_says_so_and_how_to_hold_anew(desk, quote, tops):
    lot, next_best = tops.lots.order_by("pk")[0], tops.lots.order_by("pk")[2]
    assert "Reserve another" not in desk.get(f"/quotes/{quote.pk}/").text
    scrap_stock(material=tops, quantity=Decimal(1), lot=lot, why="a crack", now=NOW)
    page = desk.get(f"/quotes/{quote.pk}/").text
    assert (
        f"A piece reserved for this quote is no longer available: {lot.number} is rejected." in page
    )
    assert f'href="/quotes/{quote.pk}/hold/">Reserve another' in page
    assert "Reserve another" in desk.get("/books/today/").text

    hold_stock(quote=quote, until=TODAY + timedelta(9), on=TODAY, now=NOW)
    assert "Reserve another" not in desk.get(f"/quotes/{quote.pk}/").text
    assert next_best.number in desk.get(f"/quotes/{quote.pk}/").text


def test_the_api_tells_what_is_held_and_what_of_it_lacks(phone, quote, wire):
    take(wire, 300)
    top, frets = phone.get(f"/api/v1/quotes/{quote.pk}/hold/").json()
    assert (top["lot"], top["lacking"], top["lost"]) == ("T-0001", "0.000", "")
    assert (frets["lot"], frets["quantity"], frets["lacking"]) == (None, "900.000", "200.000")


@pytest.mark.parametrize("quotes", [1, 3])
def test_any_number_of_quotes_takes_three_queries(tops, wire, quotes, django_assert_num_queries):
    template = line_for(tops).template
    make_template_line(template, "Frets", material=wire, quantity=Decimal("0.1"), unit="m")
    rows = [make_quote(template=template, on=TODAY) for _ in range(quotes)]
    for row in rows:
        hold_stock(quote=row, until=TODAY, on=TODAY, now=NOW)
    with django_assert_num_queries(3):
        assert len(held_by(rows)) == quotes
