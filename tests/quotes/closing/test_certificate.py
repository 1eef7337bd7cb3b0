"""The certificate names what is in the instrument, not what was lost or came back."""

from decimal import Decimal

import pytest

from inventory.ledger.services.incoming import NewLine, PieceFacts
from inventory.models import Lot, Species
from inventory.purchasing.services.deliveries import receive_delivery
from quotes.closing.documents import certificate_paper
from quotes.papers.documents.printing import paper_html
from shop.builds.services.stock import draw_for_build, scrap_for_build
from tests.factories import NOW, TODAY, make_family, make_material, make_supplier
from tests.shop.factories import make_build, planned_line

pytestmark = pytest.mark.django_db


@pytest.fixture
def build(workshop):
    """One of two sets is lost, the other drawn, and some wire with it."""
    spruce = make_material("spruce set", kept_as="piece")
    wire = make_material("fretwire", kept_as="length", family=make_family("Fretwire"))
    receive_delivery(
        received_on=TODAY,
        supplier=make_supplier(),
        lines=[
            NewLine(
                material=spruce,
                quantity=Decimal(2),
                price=Decimal(70),
                pieces=[PieceFacts(), PieceFacts(grade="master", log="L7")],
            ),
            NewLine(material=wire, quantity=Decimal(2000), price=Decimal(8)),
        ],
        now=NOW,
    )
    build = make_build(lines=[planned_line(spruce), planned_line(wire, "1000")])
    lost, good = Lot.objects.filter(material=spruce).order_by("pk")
    top, frets = build.lines.all()
    scrap_for_build(build=build, line=top, lot=lost, quantity=Decimal(1), why="split", now=NOW)
    draw_for_build(build=build, line=top, lot=good, quantity=Decimal(1), now=NOW)
    draw_for_build(build=build, line=frets, quantity=Decimal(1000), now=NOW)
    return build


def test_only_what_stayed_is_named(build):
    paper = certificate_paper(build)
    (piece,) = paper.pieces
    assert piece.about == "spruce set, master"
    (wire,) = paper.materials
    assert wire.name == "Fretwire"
    assert wire.about == "fretwire"


def test_it_shows_no_money_and_no_hours(build):
    html = paper_html("quotes/papers/certificate.html", certificate_paper(build), made_on="2027")
    for word in ("35.00", "EUR", "hour", "price"):
        assert word not in html


def test_it_names_the_species_and_nothing_of_the_workshop_s_own_books(build):
    spruce = Lot.objects.filter(piece__log="L7").get().material
    spruce.species = Species.objects.create(name="Sitka spruce", botanical_name="Picea sitchensis")
    spruce.save()
    html = paper_html("quotes/papers/certificate.html", certificate_paper(build), made_on="2027")
    assert "Sitka spruce, master, <i>Picea sitchensis</i>" in html
    for word in ("Bramble", "L7", "T-0", "Tax number"):
        assert word not in html


def test_an_unfinished_instrument_has_no_certificate_yet(desk, build):
    page = desk.get(f"/builds/{build.pk}/certificate/", follow=True)
    assert "is not finished, so it has no certificate yet" in page.text
    build.finished_on = TODAY
    build.save()
    assert desk.get(f"/builds/{build.pk}/certificate/")["Content-Type"] == "application/pdf"
