"""An intra-community supply on the desk, in the year and in the API."""

from datetime import date
from decimal import Decimal

import pytest

from quotes.invoicing.services.invoices import issue_invoice
from quotes.models import Invoice
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.edit import edit_quote
from quotes.quoting.services.issue import issue_quote
from tests.factories import NOW, TODAY
from tests.quotes.factories import make_client, make_commission, make_policy, make_quote
from tests.shop.factories import make_template, make_template_stage

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def media(settings, tmp_path, monkeypatch):
    settings.MEDIA_ROOT = tmp_path
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


@pytest.fixture
def draft(workshop):
    """A draft for a business in another member state, at the standard rate as proposed."""
    workshop.country, workshop.tax_number = "NL", "NL123456782B90"
    workshop.save()
    make_policy()
    template = make_template("Little mandolin")
    make_template_stage(template, "Carve", hours=("2", "20", "80"))
    client = make_client("Fern & Burrow", country="BE", tax_number="BE0123456749")
    return make_quote(make_commission(client), template, on=TODAY)


def accepted(draft):
    quote = edit_quote(quote=draft, tax_kind="K")
    return accept_quote(quote=issue_quote(quote=quote, on=TODAY, now=NOW), on=TODAY, now=NOW).quote


def text_of(page):
    return page.content.decode()


def test_the_tax_is_asked_about_and_never_chosen(desk, draft):
    assert draft.tax_kind == "S"
    text = text_of(desk.get(f"/quotes/{draft.pk}/"))
    assert "Ask your accountant" in text
    edit_quote(quote=draft, tax_kind="K")
    text = text_of(desk.get(f"/quotes/{draft.pk}/"))
    assert "intra-community supply, to a business in another member state" in text
    assert "Ask your accountant" not in text


def test_a_form_asks_where_it_goes_and_the_invoice_says_so(desk, draft):
    quote = accepted(draft)
    page = desk.get(f"/quotes/{quote.pk}/invoice/0/")
    assert "the client’s country" in text_of(page)
    asked = {"delivered_on": "2027-03-08", "deliver_to": "LU"}
    text = text_of(desk.post(f"/quotes/{quote.pk}/invoice/0/", asked, follow=True))
    invoice = Invoice.objects.get()
    assert (invoice.deliver_to, invoice.delivered_on) == ("LU", date(2027, 3, 8))
    assert "Luxembourg" in text


def test_at_home_no_form_asks_where_it_goes(desk, draft):
    quote = accept_quote(quote=issue_quote(quote=draft, on=TODAY, now=NOW), on=TODAY, now=NOW).quote
    text = text_of(desk.get(f"/quotes/{quote.pk}/invoice/0/"))
    assert "Delivered on" in text
    assert "Delivered to" not in text


def test_a_day_of_delivery_is_not_after_the_invoice(desk, draft):
    quote = accepted(draft)
    page = desk.post(f"/quotes/{quote.pk}/invoice/0/", {"delivered_on": "2027-03-10"})
    assert page.status_code == 409
    assert "not delivered yet" in text_of(page)
    assert not Invoice.objects.exists()


def test_the_year_lists_what_was_supplied_by_tax_number(desk, phone, draft):
    invoice = issue_invoice(quote=accepted(draft), part=0, on=TODAY)
    text = text_of(desk.get("/books/2027/"))
    assert "To businesses in other member states" in text
    assert "BE0123456749" in text
    (row,) = phone.get("/api/v1/books/2027/").json()["union"]
    assert (row["number"], Decimal(row["net"])) == ("BE0123456749", invoice.net)
    kept = desk.get("/books/2027/member-states.csv").content.decode("utf-8-sig").splitlines()
    assert kept[1] == f"BE0123456749,Fern & Burrow,{invoice.net}"


def test_the_api_takes_and_tells_the_delivery(phone, draft):
    quote = accepted(draft)
    asked = {"quote": quote.pk, "part": 0, "delivered_on": "2027-03-09", "deliver_to": "lu"}
    told = phone.post("/api/v1/invoices/", asked).json()
    assert (told["deliver_to"], told["delivered_on"]) == ("LU", "2027-03-09")
    wrong = {"quote": quote.pk, "part": 1, "deliver_to": "??"}
    refused = phone.post("/api/v1/invoices/", wrong)
    assert refused.status_code == 409
    assert "two-letter code" in refused.json()["detail"]


def test_what_keeps_an_invoice_from_being_structured_is_said_before_it_is_issued(
    desk, draft, workshop
):
    quote = accepted(draft)
    assert "no structured data" not in text_of(desk.get(f"/quotes/{quote.pk}/invoice/0/"))
    workshop.tax_number = ""
    workshop.save()
    text = text_of(desk.get(f"/quotes/{quote.pk}/invoice/0/"))
    assert "no structured data" in text
    assert "Enter the workshop&#x27;s tax number." in text
