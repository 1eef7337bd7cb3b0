"""Pieces on the pages of a quote: proposed for a row, chosen, and asked for at the yes."""

import pytest

from inventory.models import KeptAs
from quotes.quoting.services.holds import hold_stock
from quotes.quoting.services.issue import issue_quote
from tests.factories import make_material
from tests.quotes.factories import make_quote
from tests.shop.factories import NOW, TODAY, make_template_line
from tests.shop.shelf_pieces import line_for, make_tops, receive_tops

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def media(settings, tmp_path, monkeypatch):
    settings.MEDIA_ROOT = tmp_path
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


@pytest.fixture
def tops(workshop):
    return make_tops()


@pytest.fixture
def quote(tops):
    return make_quote(template=line_for(tops).template, on=TODAY)


def address_of(quote, end=""):
    return f"/quotes/{quote.pk}/material/{quote.materials.get().pk}/{end}"


def test_a_row_shows_the_best_piece_and_why_the_rest_is_not(desk, quote):
    text = desk.get(address_of(quote)).text
    assert "Fits exactly in width, ready since 3 May 2025, oldest of two" in text
    assert "Too short by 8 mm" in text


def test_a_piece_is_chosen_and_left_again(desk, tops, quote):
    piece = tops.lots.order_by("pk")[2]
    desk.post(address_of(quote, "piece/"), {"lot": piece.pk})
    assert quote.materials.get().lot == piece
    desk.post(address_of(quote, "piece/"), {"lot": ""})
    assert quote.materials.get().lot is None
    assert desk.post(address_of(quote, "piece/"), {"lot": "wrong"}).status_code == 404


def test_a_quote_that_was_sent_keeps_its_piece(desk, tops, quote):
    issue_quote(quote=quote, on=TODAY, now=NOW)
    piece = tops.lots.order_by("pk")[2]
    answer = desk.post(address_of(quote, "piece/"), {"lot": piece.pk}, follow=True)
    assert quote.materials.get().lot is None
    assert [str(message) for message in answer.context["messages"]] != []


def test_the_yes_asks_for_pieces_with_their_reasons(desk, tops, quote):
    issue_quote(quote=quote, on=TODAY, now=NOW)
    hold_stock(quote=quote, until=TODAY, on=TODAY, now=NOW)
    row, dear = quote.materials.get(), tops.lots.order_by("pk")[2]
    text = desk.get(f"/quotes/{quote.pk}/accept/").text
    assert f"the best one available, now {tops.lots.order_by('pk')[0].number}" in text
    assert f"{dear.number}: fits exactly in width" in text
    desk.post(f"/quotes/{quote.pk}/accept/", {"by": "Osric", f"piece-{row.pk}": dear.pk})
    quote.refresh_from_db()
    assert quote.build.lines.get().material.promises.get(outstanding__gt=0).lot == dear


def test_the_yes_tells_lines_that_are_short_from_those_without_a_material(desk, tops, workshop):
    template = line_for(tops).template
    make_template_line(template, "Case", material=make_material("Case", KeptAs.COUNT))
    make_template_line(template, "Glue")
    quote = make_quote(template=template, on=TODAY)
    issue_quote(quote=quote, on=TODAY, now=NOW)

    page = desk.post(f"/quotes/{quote.pk}/accept/", {"by": "Osric"}, follow=True)

    said = [str(message) for message in page.context["messages"]]
    assert said[0].endswith("is planned. 1 line is short. 1 line has no material yet.")


def test_a_piece_of_another_material_is_chosen_by_its_number_and_offered_again(desk, quote):
    cedar = make_material("Spruce top, old stock", KeptAs.PIECE)
    receive_tops(cedar, TODAY, "90.00", 430, 300)
    large, small = cedar.lots.order_by("pk")
    assert "Same wood, other material" in desk.get(address_of(quote)).text

    desk.post(address_of(quote, "piece/"), {"number": small.number})
    assert quote.materials.get().lot == small
    wrong = desk.post(address_of(quote, "piece/"), {"number": "T-9999"}, follow=True)
    assert "There is no piece T-9999" in wrong.text
    issue_quote(quote=quote, on=TODAY, now=NOW)
    text = desk.get(f"/quotes/{quote.pk}/accept/").text
    assert f"{large.number}, Spruce top, old stock: fits exactly in width" in text
    assert f"selected>{small.number}, Spruce top, old stock: chosen for this quote" in text


def test_a_hold_asks_for_pieces_too(desk, tops, quote):
    issue_quote(quote=quote, on=TODAY, now=NOW)
    row, dear = quote.materials.get(), tops.lots.order_by("pk")[2]
    desk.post(f"/quotes/{quote.pk}/hold/", {"until": TODAY, f"piece-{row.pk}": dear.pk})
    assert dear.promises.get(outstanding__gt=0).holder == quote.holder
    assert f'value="{dear.pk}" selected' in desk.get(f"/quotes/{quote.pk}/hold/").text
