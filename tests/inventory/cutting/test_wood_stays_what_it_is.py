"""Cutting tells the truth of wood: species, papers, thickness and dryness stay with it."""

from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.cutting.queries import CutPart, cut_questions
from inventory.cutting.refusals import AnotherSpecies, AskFirst, ThickerThanItsBoard
from inventory.cutting.services import cut_stock
from inventory.ledger.services.incoming import PieceFacts
from inventory.models import KeptAs, Lot, Material, Piece, Species
from inventory.shelf.queries.traces import papers_of
from tests.factories import NOW, make_material
from tests.inventory.stocked import stocked_pieces

pytestmark = pytest.mark.django_db
LISTED = "Appendix II, since 2017"


@pytest.fixture
def walnut(workshop):
    return Species.objects.create(name="Walnut", listing=LISTED)


@pytest.fixture
def board(walnut):
    material, (lot,) = stocked_pieces(1)
    material.species = walnut
    material.save()
    Piece.objects.filter(pk=lot.pk).update(
        length_mm=Decimal(2400), width_mm=Decimal(190), thickness_mm=Decimal(25), is_ready=True
    )
    return Lot.objects.get(pk=lot.pk)


def neck_blank(species=None):
    return make_material("Neck blank", KeptAs.PIECE, species=species)


def cut(lot, becomes, length=620, width=80, thickness=None, **more):
    facts = PieceFacts(
        length_mm=Decimal(length), width_mm=Decimal(width), thickness_mm=thickness, is_ready=True
    )
    part = CutPart(material=becomes, measure=Decimal(length), piece=facts)
    [made] = cut_stock(lot=lot, parts=[part], usable=Decimal(2320), now=NOW, **more)
    return Lot.objects.get(pk=made.pk)


def test_walnut_does_not_become_maple(board):
    maple = Species.objects.create(name="Bigleaf maple")
    with pytest.raises(
        AnotherSpecies, match=r"is Walnut; it can't become Neck blank, which is Big"
    ):
        cut(board, neck_blank(maple))
    assert Lot.objects.get(pk=board.pk).remaining == 1


def test_a_material_without_a_species_takes_on_that_of_its_wood_and_its_listing(board, walnut):
    made = cut(board, neck_blank())
    assert made.material.species == walnut
    assert made.material.species.listing == LISTED


def test_wood_does_not_lose_its_listing_in_a_material_that_has_other_stock(board):
    material, _ = stocked_pieces(1)
    Material.objects.filter(pk=material.pk).update(name="Neck blank", species=None)
    with pytest.raises(AnotherSpecies, match="Enter the species of Neck blank first"):
        cut(board, Material.objects.get(pk=material.pk))


def test_wood_of_no_known_species_does_not_become_a_listed_one(walnut):
    _, (lot,) = stocked_pieces(1)
    with pytest.raises(AnotherSpecies, match="has no species on record"):
        cut(lot, neck_blank(walnut))


def test_a_part_has_the_papers_thickness_and_dryness_of_its_board(board, walnut):
    paper = board.papers.create(kind="permit", number="CA-77")
    Piece.objects.filter(pk=board.pk).update(is_ready=False, grade="quartered")
    made = cut(Lot.objects.get(pk=board.pk), neck_blank(walnut))
    assert papers_of(made) == [paper]
    assert (made.piece.thickness_mm, made.piece.grade) == (25, "quartered")
    assert made.piece.state == "seasoning"


def test_a_part_is_not_thicker_than_its_board(board, walnut):
    with pytest.raises(ThickerThanItsBoard):
        cut(board, neck_blank(walnut), thickness=Decimal(50))


def thick_necks(walnut):
    blank = neck_blank(walnut)
    _, lots = stocked_pieces(2)
    Lot.objects.filter(pk__in=[lot.pk for lot in lots]).update(material=blank)
    Piece.objects.filter(lot__material=blank).update(thickness_mm=Decimal(50))
    return blank


ASKS = {
    "drying": ({"is_ready": False}, {}, "is still drying"),
    "thin": ({}, {}, "Neck blank would be 25 mm thick; its pieces so far are 50 mm."),
    "short grain": ({}, {"length": 60, "width": 180}, "longer across the grain than along it"),
}


@pytest.mark.parametrize("case", ASKS)
def test_drying_wood_odd_thickness_and_short_grain_ask_first_and_are_cut_if_meant(
    board, walnut, case
):
    of_board, of_part, words = ASKS[case]
    if of_board:
        Piece.objects.filter(pk=board.pk).update(**of_board)
    blank = thick_necks(walnut)
    lot = Lot.objects.get(pk=board.pk)
    with pytest.raises(AskFirst, match=words):
        cut(lot, blank, ask_first=True, **of_part)
    assert cut(lot, blank, **of_part).material == blank


def test_ready_wood_of_the_usual_thickness_asks_nothing(board, walnut):
    assert cut(board, neck_blank(walnut), ask_first=True).piece.thickness_mm == 25
    assert cut_questions([]) == []


def test_the_page_asks_before_it_cuts_drying_wood(desk, board, walnut):
    neck_blank(walnut)
    Piece.objects.filter(pk=board.pk).update(is_ready=False)
    address = f"{reverse('cut_material', args=[board.material_id])}?lot={board.number}"
    saw = {"kerf": "3", "trim": "40", "least_length": "100", "least_width": "25"}
    wanted = {"material": "Neck blank", "length": "620", "width": "80", "count": "6"}
    form = {f"form-0-{name}": value for name, value in wanted.items()}
    form |= {"form-TOTAL_FORMS": "1", "form-INITIAL_FORMS": "0", "look": ""}
    answer = desk.post(address, saw | form)
    assert f"{board.number} is still drying, and its parts with it." in answer.content.decode()
    book = {"book": "", "plan": answer.context["sealed"]}
    assert desk.post(address, book).status_code == 409
    assert desk.post(address, book | {"sure": "on"}).status_code == 302
    assert Lot.objects.filter(material__name="Neck blank").count() == 6


def test_the_api_asks_before_it_cuts_drying_wood(phone, board, walnut):
    blank = neck_blank(walnut)
    Piece.objects.filter(pk=board.pk).update(is_ready=False)
    address = f"/api/v1/lots/{board.number}/cut/"
    asked = {"usable": "2320", "parts": [{"material": blank.pk, "measure": "620"}]}
    refused = phone.post(address, asked, format="json")
    assert refused.status_code == 409
    assert "is still drying" in refused.content.decode()
    assert phone.post(address, asked | {"sure": True}, format="json").status_code == 201
