"""Invoices, payments and changes through the API."""

from decimal import Decimal

import pytest
from rest_framework.test import APIClient

from quotes.models import Invoice, Payment
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.issue import issue_quote
from tests.conftest import make_person
from tests.factories import NOW, TODAY
from tests.quotes.factories import make_policy, make_quote
from tests.shop.factories import make_template, make_template_stage

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def media(settings, tmp_path, monkeypatch):
    settings.MEDIA_ROOT = tmp_path
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


@pytest.fixture
def quote(workshop):
    make_policy()
    template = make_template("Little mandolin")
    make_template_stage(template, "Carve", hours=("2", "20", "80"))
    issued = issue_quote(quote=make_quote(template=template, on=TODAY), on=TODAY, now=NOW)
    return accept_quote(quote=issued, on=TODAY, now=NOW).quote


def test_from_invoice_to_payment_to_nothing_owed(phone, quote):
    invoice = phone.post("/api/v1/invoices/", {"quote": quote.pk, "part": 0}).json()
    assert (invoice["number"], invoice["gross"]) == ("I-2027-001", "356.400")
    (account,) = phone.get("/api/v1/owed/").json()
    assert (account["owed"], account["invoices"][0]["number"]) == ("356.400", "I-2027-001")
    asked = {
        "client": quote.commission.client_id,
        "invoice": invoice["id"],
        "amount": "356.40",
        "received_on": "2027-03-09",
    }
    payment = phone.post("/api/v1/payments/", asked)
    assert payment.status_code == 201
    assert phone.get("/api/v1/owed/").json() == []
    counter = phone.post(f"/api/v1/payments/{payment.json()['id']}/correct/", {"why": "twice"})
    assert counter.json()["amount"] == "-356.400"


def test_an_invoice_is_issued_once_however_often_it_is_asked(phone, quote):
    asked = {"quote": quote.pk, "part": 0}
    for _ in range(3):
        phone.post("/api/v1/invoices/", asked, headers={"Idempotency-Key": "a"})
    assert Invoice.objects.count() == 1
    again = phone.post("/api/v1/invoices/", asked, headers={"Idempotency-Key": "b"})
    assert again.status_code == 409
    assert "is invoiced already" in again.json()["detail"]


def test_an_invoice_is_credited_and_its_paper_read(phone, quote):
    invoice = phone.post("/api/v1/invoices/", {"quote": quote.pk, "part": 0}).json()
    address = f"/api/v1/invoices/{invoice['id']}/"
    note = phone.post(f"{address}credit/", {"why": "a favour", "amount": "56.40"}).json()
    assert (note["number"], note["gross"]) == ("C-2027-001", "-56.400")
    assert phone.get(f"{address}document/").content.startswith(b"%PDF-")


def test_a_change_is_offered_agreed_and_invoiced(phone, quote):
    asked = {"quote": quote.pk, "title": "wider nut", "price": "50"}
    change = phone.post("/api/v1/changes/", asked).json()
    decided = phone.post(f"/api/v1/changes/{change['id']}/decide/", {"agreed": True}).json()
    assert decided["state"] == "agreed"
    invoice = phone.post("/api/v1/invoices/", {"change": change["id"]}).json()
    assert invoice["gross"] == "60.000"


@pytest.mark.parametrize(
    ("asked", "sentence"),
    [
        ({}, "Give a part of a quote, or a change order"),
        ({"part": 0}, "Give the quote too"),
        ({"part": 9, "quote": 1}, "There is none with the number 1"),
    ],
    ids=["nothing", "no quote", "no such quote"],
)
def test_an_invoice_for_nothing_is_answered_with_a_sentence(phone, asked, sentence):
    answer = phone.post("/api/v1/invoices/", asked)
    assert answer.status_code == 400
    assert sentence in answer.json()["detail"]


def test_a_day_that_is_no_day_is_named(phone):
    answer = phone.get("/api/v1/owed/?on=yesterday")
    assert answer.status_code == 400
    assert answer["Content-Type"].startswith("application/problem+json")


def test_a_bookkeeper_books_and_a_looker_on_looks(quote, looker_on):
    for person, status in ((make_person("ada", "bookkeeper"), 201), (looker_on, 403)):
        api = APIClient()
        api.force_authenticate(person)
        asked = {"quote": quote.pk, "part": 0}
        assert api.post("/api/v1/invoices/", asked).status_code == status
        assert api.get("/api/v1/invoices/").status_code == 200


@pytest.mark.parametrize("count", [1, 25])
def test_payments_are_listed_in_a_fixed_number_of_questions(
    phone, quote, count, django_assert_num_queries
):
    for number in range(count):
        Payment.objects.create(
            client=quote.commission.client,
            number=f"R-2027-{number:03}",
            received_on=TODAY,
            currency="EUR",
            amount=Decimal(1),
            home=Decimal(1),
            recorded_at=NOW,
        )
    with django_assert_num_queries(4):
        phone.get("/api/v1/payments/")
