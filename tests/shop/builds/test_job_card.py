from decimal import Decimal
from io import BytesIO

import pytest
from django.urls import reverse
from pypdf import PdfReader

from inventory.ledger.services.incoming import NewLine
from inventory.models import KeptAs, Place, Species
from inventory.purchasing.services.deliveries import receive_delivery
from shop.builds.queries.job_card import Caution, job_card_of
from shop.builds.services.stock import draw_for_build, reserve_for_build
from tests.factories import NOW, TODAY, make_material
from tests.shop.factories import (
    make_build,
    make_template,
    make_template_line,
    make_template_stage,
    planned_line,
    planned_stage,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def rack(workshop):
    return Place.objects.create(name="Rack 2")


@pytest.fixture
def top(rack):
    species = Species.objects.create(name="Spruce", dust="irritant")
    material = make_material("Spruce top", KeptAs.PIECE, species=species)
    stock(material, 1, rack)
    return material


@pytest.fixture
def lacquer(rack):
    material = make_material(
        "Lacquer", KeptAs.VOLUME, caution="Vapour burns.", pictograms=["GHS07", "GHS02"]
    )
    stock(material, 5000, rack)
    return material


def stock(material, quantity, place):
    line = NewLine(material=material, quantity=Decimal(quantity), price=Decimal(40), place=place)
    receive_delivery(received_on=TODAY, lines=[line], now=NOW)


@pytest.fixture
def build(top, lacquer):
    template = make_template("Carved-top mandolin")
    carve = make_template_stage(template, "Carve", waiting_for="at rest", caution="Dust: a mask.")
    finish = make_template_stage(template, "Finish")
    lines = [
        planned_line(top, template_line=make_template_line(template, stage=carve)),
        planned_line(lacquer, "900", template_line=make_template_line(template, stage=finish)),
        planned_line(make_material("Case")),
    ]
    build = make_build(
        stages=[
            planned_stage("Carve", template_stage=carve, waiting_days=Decimal(7)),
            planned_stage("Finish", template_stage=finish),
        ],
        lines=lines,
        template=template,
        specification="Slim neck.",
        promised_on=TODAY,
    )
    reserve_for_build(build=build, now=NOW)
    return build


def test_each_stage_says_what_it_takes_and_where_that_lies(build, top, lacquer):
    carve, finish, loose = job_card_of(build, TODAY).stages
    assert carve.waiting_for == "at rest"
    assert carve.needs[0].found == (f"{top.lots.get().number}, Rack 2",)
    assert (finish.needs[0].quantity, finish.needs[0].unit) == (900, "ml")
    assert finish.needs[0].found == (f"{lacquer.lots.get().number}, Rack 2",)
    assert loose.stage is None
    assert [need.name for need in loose.needs] == ["Case"]


def test_each_stage_says_what_to_beware_of(build):
    carve, finish, _ = job_card_of(build, TODAY).stages
    assert carve.cautions == (
        Caution("", "Dust: a mask."),
        Caution("Spruce top", "dust: irritant. Read the data sheet."),
    )
    assert finish.cautions == (
        Caution("Lacquer", "flame, exclamation mark. Vapour burns. Read the data sheet."),
    )


def test_what_is_drawn_is_ticked(build, top):
    draw_for_build(build=build, line=build.lines.get(material=top), quantity=Decimal(1), now=NOW)
    need = job_card_of(build, TODAY).stages[0].needs[0]
    assert (need.is_drawn, need.found) == (True, ())


def test_a_kind_that_is_not_known_has_no_targets(build):
    assert job_card_of(build, TODAY).kind == "mandolin"
    build.title, build.template = "Hurdy-gurdy", None
    assert job_card_of(build, TODAY).targets == ()


def test_a_build_without_lines_has_no_loose_end(workshop):
    card = job_card_of(make_build(), TODAY)
    assert [one.stage.name for one in card.stages] == ["Carve neck"]


@pytest.mark.parametrize("number", [1, 25])
def test_the_card_takes_twelve_queries(build, number, django_assert_num_queries):
    for place in range(number):
        build.lines.create(
            position=10 + place,
            name=f"line {place}",
            material=make_material(),
            quantity=1,
            to_draw=1,
            planned_cost=0,
        )
    with django_assert_num_queries(12):
        job_card_of(build, TODAY)


@pytest.mark.parametrize(("country", "width"), [("NL", 595), ("US", 612)], ids=["A4", "Letter"])
def test_it_prints_on_the_paper_of_the_country(desk, workshop, build, country, width):
    workshop.country = country
    workshop.save()
    answer = desk.get(reverse("job_card_pdf", args=[build.pk]))
    assert answer.headers["Content-Type"] == "application/pdf"
    pdf = PdfReader(BytesIO(answer.content))
    assert int(pdf.pages[0].mediabox.width) == width
    text = " ".join(page.extract_text() for page in pdf.pages)
    for word in ("Slim neck", "at rest", "Rack 2", "exclamation mark", "± 3", build.serial):
        assert word in text


def test_the_api_gives_the_same_paper(phone, build):
    answer = phone.get(f"/api/v1/builds/{build.pk}/job-card/")
    assert answer.content.startswith(b"%PDF")


def test_the_page_says_the_same(desk, build):
    page = desk.get(reverse("job_card", args=[build.pk])).content.decode()
    for word in ("Slim neck", "at rest", "Rack 2", "exclamation mark", "± 3"):
        assert word in page


def test_a_piece_that_stands_in_brings_its_own_name_and_its_own_dust(top, rack):
    species = Species.objects.create(name="Cedar", dust="sensitises")
    cedar = make_material("Cedar top", KeptAs.PIECE, species=species)
    stock(cedar, 1, rack)
    build = make_build(lines=[planned_line(top)])
    reserve_for_build(build=build, now=NOW, chosen={1: [cedar.lots.get()]})
    loose = job_card_of(build, TODAY).loose
    assert loose.needs[0].found == (f"{cedar.lots.get().number}, Rack 2: Cedar top",)
    assert Caution("Cedar top", "dust: sensitises. Read the data sheet.") in loose.cautions
