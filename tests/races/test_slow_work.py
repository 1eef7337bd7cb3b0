"""Whoever lays out a paper or shrinks a photo keeps nobody else from writing.

The control does the same work within its transaction: there, on SQLite, the others wait.
"""

import threading
from decimal import Decimal
from inspect import unwrap
from io import BytesIO
from types import SimpleNamespace

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import OperationalError, connection, transaction
from PIL import Image
from rest_framework.test import APIClient

from inventory.models import Workshop
from inventory.purchasing.services.orders import ToOrder, make_orders, send_order
from quotes.base.calc.numbering import gaps
from quotes.invoicing.services.invoices import issue_invoice
from quotes.invoicing.services.payments import record_payment
from quotes.models import Invoice, Payment
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.issue import issue_quote
from shop.models import BuildNote
from tests.conftest import make_person
from tests.factories import NOW, TODAY, make_material, make_supplier
from tests.quotes.factories import make_client, make_commission, make_policy, make_quote
from tests.races.moments import at_the_same_moment
from tests.shop.factories import make_build, make_template, make_template_stage

pytestmark = [pytest.mark.races, pytest.mark.django_db(transaction=True)]
RIVALS = 6


@pytest.fixture(autouse=True)
def shop(settings, tmp_path, monkeypatch):
    settings.MEDIA_ROOT = tmp_path
    Workshop.objects.create(pk=1, name="Turnip Hollow", maker="Posy Thimblewick")
    make_policy()
    monkeypatch.setattr("quotes.papers.documents.printing._laid_out", lambda *_: b"%PDF-")
    # How many may wait is a test of its own.
    monkeypatch.setattr("inventory.base.turns.MOST_WAITING", 2 * RIVALS)


def accepted(count):
    template = make_template("Little mandolin")
    make_template_stage(template, "Carve", hours=("2", "4", "8"))
    drafts = [make_quote(make_commission(make_client(f"{n}")), template) for n in range(count)]
    sent = [issue_quote(quote=draft, on=TODAY, now=NOW) for draft in drafts]
    return [accept_quote(quote=quote, on=TODAY, now=NOW).quote for quote in sent]


def pay(client):
    return record_payment(client=client, amount=Decimal(10), received_on=TODAY, now=NOW)


@pytest.fixture
def press(monkeypatch):
    """A layout that takes until it is told to end."""
    press = SimpleNamespace(begun=threading.Event(), may_end=threading.Event())

    def slow(*_):
        press.begun.set()
        press.may_end.wait(30)
        return b"%PDF-"

    monkeypatch.setattr("quotes.papers.documents.printing._laid_out", slow)
    return press


def accepted_beforehand(press):
    press.may_end.set()
    (quote,) = accepted(1)
    press.may_end.clear()
    press.begun.clear()
    return quote


def pay_while_a_paper_is_laid_out(issue, press, quote):
    client = make_client("Osric Pondweed")

    def pay_meanwhile():
        press.begun.wait(30)
        try:
            if connection.vendor == "sqlite":  # not the patience of the shop, which is 20 s
                connection.cursor().execute("PRAGMA busy_timeout = 500")
            return pay(client)
        finally:
            press.may_end.set()

    return at_the_same_moment([lambda: issue(quote=quote, part=0, on=TODAY), pay_meanwhile])


def test_money_is_recorded_while_an_invoice_is_laid_out(press):
    quote = accepted_beforehand(press)
    invoice, payment = pay_while_a_paper_is_laid_out(issue_invoice, press, quote)
    assert isinstance(payment, Payment), payment
    assert isinstance(invoice, Invoice), invoice


@pytest.mark.skipif(connection.vendor != "sqlite", reason="rows are locked, not the file")
def test_within_the_transaction_the_layout_keeps_everybody_waiting(press):
    quote = accepted_beforehand(press)
    bare = transaction.atomic(unwrap(issue_invoice))
    _, payment = pay_while_a_paper_is_laid_out(bare, press, quote)
    assert isinstance(payment, OperationalError), payment


def test_invoices_laid_out_at_the_same_moment_have_numbers_without_gaps():
    outcomes = at_the_same_moment(
        [lambda q=quote: issue_invoice(quote=q, part=0, on=TODAY) for quote in accepted(RIVALS)]
    )
    assert all(isinstance(outcome, Invoice) for outcome in outcomes), outcomes
    numbers = sorted(int(row.number.rpartition("-")[2]) for row in outcomes)
    assert (len(numbers), gaps(numbers)) == (RIVALS, [])


def test_each_paper_is_laid_out_once_however_many_wait(monkeypatch):
    quotes = accepted(RIVALS)
    laid_out = []
    monkeypatch.setattr(
        "quotes.papers.documents.printing._laid_out",
        lambda html, *_: laid_out.append(html) or b"%PDF-",
    )
    at_the_same_moment(
        [lambda q=quote: issue_invoice(quote=q, part=0, on=TODAY) for quote in quotes]
    )
    assert len(laid_out) == RIVALS


def test_a_photo_over_the_api_is_read_anew_by_the_attempt_that_keeps_it(shop):
    """The first attempt reads the file, gives way to the shrinking, and is made again."""
    picture = BytesIO()
    Image.new("RGB", (40, 30), "tan").save(picture, "JPEG")
    phone = APIClient()
    phone.force_authenticate(make_person("posy", "owner"))
    photo = SimpleUploadedFile("top.jpg", picture.getvalue(), content_type="image/jpeg")
    answer = phone.post(
        f"/api/v1/builds/{make_build().pk}/notes/",
        {"text": "the top", "photo": photo},
        format="multipart",
        headers={"Idempotency-Key": "one tap"},
    )
    assert answer.status_code == 201, answer.json()
    assert BuildNote.objects.get().photo


def test_the_sheet_of_a_purchase_order_is_laid_out_while_nothing_is_locked(monkeypatch):
    seen = []

    def lay_out(*_):
        seen.append(connection.in_atomic_block)
        return b"%PDF-"

    monkeypatch.setattr("inventory.base.documents._written", lay_out)
    line = ToOrder(material=make_material(supplier=make_supplier()), quantity=Decimal(1))
    (order,) = make_orders(lines=[line], on=TODAY)
    send_order(order=order, on=TODAY)
    assert seen == [False]
