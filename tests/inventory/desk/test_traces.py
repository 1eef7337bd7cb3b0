"""Traces both ways, and the sheet for customs."""

from decimal import Decimal
from io import BytesIO

import pytest
from django.urls import reverse
from pypdf import PdfReader

from inventory.cutting.queries import CutPart
from inventory.cutting.services import cut_stock
from inventory.kits.services import make_kit, save_recipe
from inventory.models import KeptAs, Lot, Paper, Species
from inventory.reservations.services import reserve_stock
from inventory.shelf.queries.traces import contents_of, where_it_went
from inventory.shelf.services.moves import draw_stock, return_stock
from tests.factories import NOW, make_material
from tests.inventory.stocked import stocked, stocked_pieces


def draw(lot, holder, quantity=1):
    ask = {"material": lot.material, "quantity": Decimal(quantity), "lot": lot, "now": NOW}
    return draw_stock(holder=holder, **ask)[0]


@pytest.fixture
def blank(workshop):
    """A neck blank cut from a board, with the board's papers."""
    board, (lot,) = stocked_pieces(1, name="Rosewood board")
    board.species = Species.objects.create(
        name="Rosewood",
        botanical_name="Dalbergia inventa",
        listing="Appendix II. Check with the authority.",
    )
    board.save()
    Lot.objects.filter(pk=lot.pk).update(country="IN")
    Paper.objects.create(lot=lot, kind="permit", number="IN-77", issued_by="the ministry")
    lot.refresh_from_db()
    piece = CutPart(material=make_material("Headplate", KeptAs.PIECE), measure=Decimal(1))
    (cut,) = cut_stock(lot=lot, parts=[piece], usable=Decimal(1), now=NOW)
    return cut


def test_a_bad_batch_of_glue_leads_to_every_instrument(workshop):
    glue = stocked(KeptAs.MASS, 500, unit="g").lots.get()
    draw(glue, "build:1", 40)
    draw(glue, "build:2", 30)
    back = draw(glue, "build:3", 20)
    return_stock(entry=back, quantity=Decimal(20), now=NOW)
    assert [(went.holder, went.quantity) for went in where_it_went(glue)] == [
        ("build:1", 40),
        ("build:2", 30),
    ]


def test_a_string_is_traced_through_the_set_it_was_made_up_into(workshop):
    strings = stocked(quantity=24)
    sets = make_material("String set")
    recipe = save_recipe(material=sets, parts=[(strings, Decimal(2))])
    lot = make_kit(recipe=recipe, quantity=Decimal(5), now=NOW)
    draw(lot, "build:7")
    (went,) = where_it_went(strings.lots.get())
    assert (went.holder, went.lot, went.quantity) == ("build:7", lot, 1)


def test_a_board_is_traced_through_what_was_cut_from_it(blank):
    draw(blank, "build:7")
    (went,) = where_it_went(blank.cut_from)
    assert (went.holder, went.lot) == ("build:7", blank)


def test_an_instrument_contains_what_it_drew_and_what_that_came_from(blank):
    draw(blank, "build:7")
    strings = stocked(name="a string", quantity=24)
    recipe = save_recipe(material=make_material("String set"), parts=[(strings, Decimal(2))])
    lot = make_kit(recipe=recipe, quantity=Decimal(5), now=NOW)
    draw(lot, "build:7")
    found = [(row.lot.material.name, row.depth, row.quantity) for row in contents_of("build:7")]
    assert found == [
        ("Headplate", 0, 1),
        ("Rosewood board", 1, None),
        ("String set", 0, 1),
        ("a string", 1, 10),
    ]


def test_what_came_back_is_not_contained(blank):
    entry = draw(blank, "build:7")
    return_stock(entry=entry, quantity=Decimal(1), now=NOW)
    assert contents_of("build:7") == []


def test_the_sheet_for_customs_lists_species_origin_and_papers(desk, blank):
    draw(blank, "build:7")
    answer = desk.get(reverse("customs_pdf", args=["build:7"]), {"name": "2027-03"})
    text = PdfReader(BytesIO(answer.content)).pages[0].extract_text()
    flat = " ".join(text.split())
    for words in ("2027-03", "Dalbergia inventa", "India", "IN-77", "Check with the authority"):
        assert words in flat
    assert "legal" not in flat.lower().replace("illegal", "legal")


def test_pages_show_both_directions(desk, blank):
    ask = {"material": blank.material, "quantity": Decimal(1), "lot": blank, "now": NOW}
    reserve_stock(holder="build:7", holder_name="2027-03 for Osric", **ask)
    draw(blank, "build:7")
    went = desk.get(reverse("where_it_went", args=[blank.cut_from.number])).content.decode()
    assert "2027-03 for Osric" in went
    page = desk.get(reverse("contents", args=["build:7"])).content.decode()
    assert blank.cut_from.number in page
    assert "IN-77" in page


def test_nobody_who_drew_nothing_contains_anything(desk):
    page = desk.get(reverse("contents", args=["build:404"])).content.decode()
    assert "Nothing drawn yet" in page
    assert "customs.pdf" not in page
    assert desk.get(reverse("customs_pdf", args=["build:404"])).status_code == 404


def test_what_made_up_stock_contains_stands_on_its_own_page(desk, blank):
    answer = desk.get(reverse("contents", args=[f"lot:{blank.number}"]))
    assert answer.url == reverse("piece", args=[blank.number])


@pytest.mark.parametrize("rows", [1, 25])
def test_contents_take_a_fixed_number_of_queries(workshop, django_assert_num_queries, rows):
    _, lots = stocked_pieces(rows)
    part = CutPart(material=make_material("blank", KeptAs.PIECE), measure=Decimal(1))
    for lot in lots:
        (cut,) = cut_stock(lot=lot, parts=[part], usable=Decimal(1), now=NOW)
        draw(cut, "build:7")
    with django_assert_num_queries(8):
        assert len(contents_of("build:7")) == 2 * rows
    with django_assert_num_queries(7):
        assert len(where_it_went(lots[0])) == 1
