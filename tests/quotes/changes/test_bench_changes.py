"""What was agreed after the order reaches the bench: its card, its phone, its shelf."""

from decimal import Decimal
from io import BytesIO

import pytest
from django.urls import reverse
from pypdf import PdfReader

from inventory.models import KeptAs
from quotes.changes.queries import changes_of_builds
from quotes.changes.services import MaterialAsked, record_change_decision
from quotes.invoicing.services.invoices import issue_invoice
from quotes.invoicing.services.payments import record_payment
from quotes.models import Change
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.issue import issue_quote
from shop.builds.queries.job_card import job_card_of
from tests.factories import NOW, TODAY, make_material
from tests.quotes.clientside import make_offered_change, make_ordered_quote
from tests.quotes.factories import make_client, make_commission, make_quote
from tests.shop.factories import make_build

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def kept_here(settings, tmp_path, monkeypatch):
    settings.MEDIA_ROOT = tmp_path
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


@pytest.fixture
def pickup(workshop):
    return make_material("Piezo strip", KeptAs.COUNT, replacement_price=Decimal("31.20"))


@pytest.fixture
def change(pickup):
    quote = make_ordered_quote()
    materials = [MaterialAsked(material=pickup, quantity=Decimal(2))]
    change = make_offered_change(
        quote, cost=Decimal(20), materials=materials, before=quote.build.stages.first()
    )
    return record_change_decision(change=change, agreed=True, now=NOW)


def test_materials_count_at_replacement_beside_what_else_is_bought(change):
    [row] = change.materials.all()
    assert (row.cost, change.cost) == (Decimal("62.40"), Decimal("82.40"))


def test_what_was_agreed_is_on_the_build_and_on_its_card(change, pickup):
    build = change.quote.build
    card = job_card_of(build, TODAY)
    [told] = card.changes
    assert (told.title, told.agreed_on, told.days_words) == (change.title, TODAY, "3 days later")
    first = card.stages[0]
    assert (first.stage.name, first.stage.hours_planned) == (change.title, Decimal("2.75"))
    assert first.brought_by == 1
    assert [(need.name, need.quantity, need.brought_by) for need in first.needs] == [
        ("Piezo strip", 2, 1)
    ]
    assert (first.stage.pk, build.lines.get(material=pickup).pk) == (told.stages[0], told.lines[0])


def test_what_was_declined_or_is_only_offered_is_not_on_the_card(change):
    quote = change.quote
    make_offered_change(quote, title="Gold tuners")
    record_change_decision(
        change=make_offered_change(quote, title="Wider nut"), agreed=False, now=NOW
    )
    assert [one.title for one in job_card_of(quote.build, TODAY).changes] == [change.title]


def test_the_card_on_paper_and_page_says_so(change, desk):
    build = change.quote.build
    printed = desk.get(reverse("job_card_pdf", args=[build.pk])).content
    pages = PdfReader(BytesIO(printed)).pages
    paper = " ".join(page.extract_text() for page in pages).replace("\n", " ")
    page = desk.get(reverse("job_card", args=[build.pk])).content.decode()
    for text in (paper, page):
        for words in ("Change orders", "Pickup under", "3 days later", "change order 1"):
            assert words in text
        assert "not paid" in text
        assert "213" not in text


def test_the_phone_is_told_and_no_price(change, phone):
    build = phone.get(f"/api/v1/builds/{change.quote.build_id}/").json()
    [told] = build["changes"]
    assert told == {
        "number": 1,
        "title": "Pickup under the bridge",
        "words": "A pickup under the bridge, jack at the end block.",
        "agreed_on": TODAY.isoformat(),
        "days_added": 3,
        "waits": True,
        "stages": [Change.objects.get().stage_id],
        "lines": [change.materials.get().line_id],
    }


def test_it_waits_no_more_once_it_is_paid(change):
    quote = change.quote
    invoice = issue_invoice(quote=quote, change=change, on=TODAY)
    record_payment(
        client=quote.commission.client,
        commission=quote.commission,
        invoice=invoice,
        amount=invoice.gross,
        received_on=TODAY,
        now=NOW,
    )
    assert [one.waits for one in job_card_of(quote.build, TODAY).changes] == [False]


def test_any_number_of_builds_and_changes_asks_five_questions(change, django_assert_num_queries):
    quote = change.quote
    other = make_quote(make_commission(make_client("Lune Farthing-Quill")), quote.template)
    other = issue_quote(quote=other, on=TODAY, now=NOW)
    other = accept_quote(quote=other, on=TODAY, now=NOW).quote
    for each in (quote, other, other):
        record_change_decision(change=make_offered_change(each), agreed=True, now=NOW)
    with django_assert_num_queries(5):
        found = changes_of_builds([quote.build, other.build], TODAY)
    assert {key: len(told) for key, told in found.items()} == {
        quote.build_id: 2,
        other.build_id: 2,
    }


def test_the_desk_asks_for_stage_and_materials(desk, pickup):
    quote = make_ordered_quote()
    first = quote.build.stages.first()
    asked = {
        "title": "Pickup", "hours": "2.5", "before": first.pk, "material_2": pickup.name,
        "quantity_2": "1", "cost": "10", "is_billed": "on",
    }  # fmt: skip
    answer = desk.post(f"/quotes/{quote.pk}/change/", asked)
    change = quote.changes.get()
    assert answer["Location"] == f"/changes/{change.pk}/"
    assert (change.before, change.cost) == (first, Decimal("41.20"))
    page = desk.get(f"/changes/{change.pk}/").content.decode()
    for words in ("Piezo strip", "31.20", f"before {first}"):
        assert words in page


@pytest.mark.parametrize(
    ("sent", "field"),
    [({"material_1": "pickup"}, "quantity_1"), ({"quantity_3": "2"}, "material_3")],
    ids=["no quantity", "no material"],
)
def test_a_material_and_its_quantity_go_together(desk, pickup, sent, field):
    quote = make_ordered_quote()
    sent = {name: pickup.name if value == "pickup" else value for name, value in sent.items()}
    page = desk.post(f"/quotes/{quote.pk}/change/", {"title": "Pickup"} | sent)
    assert page.status_code == 422
    assert field in page.context["form"].errors
    assert not quote.changes.exists()


def test_the_api_takes_stage_and_materials(phone, pickup):
    quote = make_ordered_quote()
    asked = {
        "quote": quote.pk,
        "title": "Pickup",
        "hours": "2.00",
        "before": quote.build.stages.first().pk,
        "materials": [{"material": pickup.pk, "quantity": "1.000"}],
    }
    made = phone.post("/api/v1/changes/", asked, format="json")
    assert made.status_code == 201
    assert made.data["cost"] == "31.200"
    wrong = make_build(serial="2027-99").stages.first()
    answer = phone.post("/api/v1/changes/", asked | {"before": wrong.pk}, format="json")
    assert (answer.status_code, answer.json()["detail"]) == (
        409,
        "That stage belongs to another build.",
    )


def test_a_stage_that_waits_for_its_money_says_so_beside_its_clock(desk, change):
    build = change.quote.build
    assert "not paid yet: don’t start" in desk.get(f"/builds/{build.pk}/").content.decode()
    invoice = issue_invoice(quote=change.quote, change=change, on=TODAY)
    record_payment(
        client=change.quote.commission.client,
        invoice=invoice,
        amount=invoice.gross,
        received_on=TODAY,
        now=NOW,
    )
    assert "not paid yet" not in desk.get(f"/builds/{build.pk}/").content.decode()
