"""The desk pages of money: invoices, payments, changes, statements."""

import re
from decimal import Decimal

import pytest

from quotes.invoicing.services.invoices import issue_invoice
from quotes.models import Change, Invoice, Payment, Quote
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.issue import issue_quote
from shop.models import Build
from tests.conftest import make_person
from tests.factories import NOW, TODAY
from tests.quotes.factories import make_client, make_commission, make_policy, make_quote
from tests.shop.factories import make_template, make_template_stage

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def media(settings, tmp_path, monkeypatch):
    settings.MEDIA_ROOT = tmp_path
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


@pytest.fixture
def template(workshop):
    make_policy()
    template = make_template("Little mandolin")
    make_template_stage(template, "Carve", hours=("2", "20", "80"))
    return template


def accept(template, name="Osric Pondweed"):
    quote = make_quote(make_commission(make_client(name)), template, on=TODAY)
    issued = issue_quote(quote=quote, on=TODAY, now=NOW)
    return accept_quote(quote=issued, on=TODAY, now=NOW).quote


@pytest.fixture
def accepted(template):
    return accept(template)


@pytest.fixture
def deposit(accepted):
    return issue_invoice(quote=accepted, part=0, on=TODAY)


def text_of(page):
    return page.content.decode()


def words_of(page):
    return " ".join(re.sub("<[^>]*>", "", text_of(page)).split())


def test_the_books_offer_the_next_part_and_it_is_issued(desk, accepted):
    text = text_of(desk.get("/books/"))
    assert "Deposit" in text
    page = desk.post(f"/quotes/{accepted.pk}/invoice/0/", follow=True)
    assert "I-2027-001 is issued" in text_of(page)
    assert "Stage payment" in text_of(desk.get("/books/"))


def test_a_payment_clears_what_is_owed(desk, deposit):
    assert "356.40" in text_of(desk.get("/books/"))
    asked = {"received_on": "2027-03-09", "invoice": deposit.pk, "amount": "356.40", "way": "cash"}
    desk.post(f"/commissions/{deposit.commission_id}/payment/", asked)
    assert Payment.objects.get().amount == Decimal("356.40")
    assert "Nobody owes anything" in text_of(desk.get("/books/"))


def test_the_form_opens_with_what_is_owed(desk, deposit):
    page = desk.get(f"/commissions/{deposit.commission_id}/payment/?invoice={deposit.pk}")
    assert 'value="356.40"' in text_of(page)


def test_the_only_invoice_that_is_owed_is_proposed_and_home_money_needs_no_rate(desk, deposit):
    page = desk.get(f"/commissions/{deposit.commission_id}/payment/")
    form = page.context["form"]
    assert form["invoice"].value() == deposit.pk
    assert form["amount"].value() == f"{deposit.gross}"
    assert "exchange_rate" not in form.fields
    Quote.objects.update(currency="USD")
    page = desk.get(f"/commissions/{deposit.commission_id}/payment/")
    assert "exchange_rate" in page.context["form"].fields


def test_what_was_paid_too_much_is_sent_back_from_the_invoice(desk, deposit):
    asked = {"received_on": "2027-03-09", "invoice": deposit.pk, "amount": "360", "way": "cash"}
    desk.post(f"/commissions/{deposit.commission_id}/payment/", asked)
    words = words_of(desk.get(f"/invoices/{deposit.pk}/"))
    assert "Overpaid3.60" in words
    assert "Refund the overpayment" in words
    page = desk.get(f"/commissions/{deposit.commission_id}/payment/?invoice={deposit.pk}")
    assert 'value="-3.60"' in text_of(page)
    assert "was overpaid on I-2027-001" in words_of(page)
    desk.post(f"/commissions/{deposit.commission_id}/payment/", asked | {"amount": "-3.60"})
    assert "Owed0.00" in words_of(desk.get(f"/invoices/{deposit.pk}/"))


def test_the_form_says_what_is_invoiced(desk, accepted):
    assert "Deposit, 356.40 EUR gross, to Osric Pondweed" in words_of(
        desk.get(f"/quotes/{accepted.pk}/invoice/0/")
    )
    assert "gross" not in words_of(desk.get(f"/quotes/{accepted.pk}/invoice/7/"))


def test_a_payment_is_put_right(desk, deposit):
    asked = {"received_on": "2027-03-09", "amount": "10", "way": "cash"}
    desk.post(f"/commissions/{deposit.commission_id}/payment/", asked)
    payment = Payment.objects.get()
    desk.post(f"/payments/{payment.pk}/correct/", {"why": "twice"})
    assert sum(Payment.objects.values_list("amount", flat=True)) == 0


def test_a_payment_that_was_put_right_can_not_be_put_right_again(desk, deposit):
    asked = {"received_on": "2027-03-09", "invoice": deposit.pk, "amount": "1", "way": "cash"}
    desk.post(f"/commissions/{deposit.commission_id}/payment/", asked)
    desk.post(f"/payments/{Payment.objects.get().pk}/correct/", {"why": "a slip"})
    for path in (f"/invoices/{deposit.pk}/", f"/commissions/{deposit.commission_id}/", "/books/"):
        words = words_of(desk.get(path))
        assert "reversed by R-2027-002" in words
        assert "Reverse" not in words


def test_an_invoice_is_credited_in_part(desk, deposit):
    desk.post(f"/invoices/{deposit.pk}/credit/", {"why": "a favour", "amount": "56.40"})
    assert "300.00" in text_of(desk.get(f"/invoices/{deposit.pk}/"))
    page = desk.post(f"/invoices/{deposit.pk}/credit/", {"why": "more", "amount": "999"})
    assert page.status_code == 409
    assert "has 300.00 left to credit" in text_of(page)


def test_a_late_invoice_has_a_reminder_to_send(desk, deposit):
    Invoice.objects.update(due_on="2027-02-01")
    assert "Send a reminder" in text_of(desk.get(f"/invoices/{deposit.pk}/"))


def test_a_change_is_offered_agreed_and_invoiced(desk, accepted):
    Build.objects.update(promised_on="2027-08-01")
    asked = {"title": "wider nut", "price": "50", "days_added": "3", "is_billed": "on"}
    desk.post(f"/quotes/{accepted.pk}/change/", asked)
    change = Change.objects.get()
    desk.post(f"/changes/{change.pk}/agreed/")
    change.refresh_from_db()
    assert (change.state, f"{Build.objects.get().promised_on}") == ("agreed", "2027-08-04")
    assert desk.post(f"/changes/{change.pk}/declined/").status_code == 409
    desk.post(f"/changes/{change.pk}/invoice/")
    assert Invoice.objects.get().gross == Decimal(60)


def test_an_agreed_change_can_be_invoiced_from_the_books_until_it_is(desk, accepted):
    desk.post(
        f"/quotes/{accepted.pk}/change/", {"title": "wider nut", "price": "50", "is_billed": "on"}
    )
    change = Change.objects.get()
    assert "wider nut" not in text_of(desk.get("/books/"))
    desk.post(f"/changes/{change.pk}/agreed/")
    assert "wider nut" in text_of(desk.get("/books/"))
    desk.post(f"/changes/{change.pk}/invoice/")
    assert "Invoice</a>" in text_of(desk.get("/books/"))
    invoice = Invoice.objects.get()
    assert f"/changes/{change.pk}/invoice/" not in text_of(desk.get("/books/"))
    desk.post(f"/invoices/{invoice.pk}/credit/", {"why": "wrong nut"})
    assert f"/changes/{change.pk}/invoice/" in text_of(desk.get("/books/"))


def test_a_declined_change_is_kept(desk, accepted):
    desk.post(f"/quotes/{accepted.pk}/change/", {"title": "pearl", "price": "90"})
    desk.post(f"/changes/{Change.objects.get().pk}/declined/")
    assert "pearl" in text_of(desk.get(f"/commissions/{accepted.commission_id}/"))


@pytest.mark.parametrize(
    "path",
    [
        "/invoices/{invoice}/paper/",
        "/quotes/{quote}/confirmation/",
        "/clients/{client}/statement/EUR/",
        "/changes/{change}/paper/",
        "/payments/{payment}/receipt/",
    ],
)
def test_papers_are_pdf(desk, deposit, path):
    quote = deposit.quote
    desk.post(f"/quotes/{quote.pk}/change/", {"title": "wider nut", "price": "50"})
    asked = {"received_on": "2027-03-09", "amount": "10", "way": "cash"}
    desk.post(f"/commissions/{deposit.commission_id}/payment/", asked)
    keys = {
        "invoice": deposit.pk,
        "quote": quote.pk,
        "client": quote.commission.client_id,
        "change": Change.objects.get().pk,
        "payment": Payment.objects.get().pk,
    }
    assert desk.get(path.format(**keys)).content.startswith(b"%PDF-")


def test_a_bookkeeper_books_but_does_not_quote(client, accepted):
    client.force_login(make_person("ada", "bookkeeper"))
    assert client.post(f"/quotes/{accepted.pk}/invoice/0/").status_code == 302
    assert client.post(f"/quotes/{accepted.pk}/change/").status_code == 403


@pytest.mark.parametrize("count", [1, 25])
def test_the_books_ask_a_fixed_number_of_questions(
    desk, template, count, django_assert_num_queries, monkeypatch
):
    monkeypatch.setattr("quotes.papers.bookkeeping.print_paper", lambda *_, **__: b"%PDF-")
    monkeypatch.setattr("quotes.invoicing.services.invoices.print_paper", lambda *_, **__: b"%PDF-")
    for number in range(count):
        issue_invoice(quote=accept(template, f"client {number}"), part=0, on=TODAY)
    with django_assert_num_queries(12):
        desk.get("/books/")


@pytest.mark.parametrize(
    ("address", "fields", "sentence"),
    [
        ("/workshop/pricing/", {"iban": "NL65 TURN 0000 1234 56"}, "is not an account number"),
        ("/workshop/pricing/", {"bic": "TURN"}, "is not a bank code"),
        ("/clients/new/", {"country": "BE", "tax_number": "BE0123456748"}, "is not a tax number"),
        ("/workshop/change/", {"country": "BE", "tax_number": "0123456749"}, "It begins with BE"),
    ],
    ids=["account", "bank", "client's tax number", "the shop's own"],
)
def test_a_mistyped_number_is_refused_where_it_is_typed(desk, template, address, fields, sentence):
    form = desk.get(address).context["form"]
    filled = {bound.html_name: bound.value() or "" for bound in form} | {"name": "Tilda"} | fields
    answer = desk.post(address, filled)
    assert answer.status_code in (409, 422)
    assert sentence in answer.content.decode()
    assert set(answer.context["form"].errors) == {list(fields)[-1]}


@pytest.mark.parametrize("address", ["/commissions/{}/payment/", "/invoices/{}/credit/"])
def test_a_fraction_of_a_cent_is_refused_beside_its_field(desk, deposit, address):
    key = deposit.commission_id if "commissions" in address else deposit.pk
    asked = {"received_on": "2027-03-09", "amount": "0.005", "way": "cash", "why": "a favour"}
    page = desk.post(address.format(key), asked)
    assert page.status_code in {409, 422}
    assert "EUR goes in steps of 0.01: 0.005 is between two." in words_of(page)
    assert not Payment.objects.exists()
    assert not deposit.credit_notes.exists()


def test_a_fee_is_typed_in_the_currency_it_was_kept_in_and_shown_on_the_payment(desk, accepted):
    """29.30 USD at 1.25 USD to one of home money is 23.44."""
    Quote.objects.update(currency="USD")
    page = f"/commissions/{accepted.commission_id}/payment/"
    assert desk.get(page).context["form"].fields["fee_currency"].choices == [
        ("EUR", "EUR"),
        ("USD", "USD"),
    ]
    asked = {
        "received_on": "2027-03-09",
        "amount": "1000",
        "way": "card",
        "fee": "29.30",
        "fee_currency": "USD",
        "exchange_rate": "1.25",
    }
    shown = words_of(desk.post(page, asked, follow=True))
    assert Payment.objects.get().fee == Decimal("23.44")
    assert "fee 23.44, charged as 29.30 USD" in shown


def test_the_number_of_a_receipt_leads_to_its_paper_wherever_it_stands(desk, deposit):
    """R-2027-001 is recorded, then reversed by R-2027-002."""
    asked = {"received_on": "2027-03-09", "invoice": deposit.pk, "amount": "356.40", "way": "cash"}
    where = f"/commissions/{deposit.commission_id}/"
    told = desk.post(f"{where}payment/", asked, follow=True)
    first = Payment.objects.get()
    link = f'<a href="/payments/{first.pk}/receipt/">{first.number}</a>'
    assert f"{link} is recorded." in text_of(told)
    assert link in text_of(desk.get(f"/payments/{first.pk}/correct/"))
    desk.post(f"/payments/{first.pk}/correct/", {"why": "typed twice"})
    second = Payment.objects.get(counter_to=first)
    back = f'reversed by <a href="/payments/{second.pk}/receipt/">{second.number}</a>'
    assert back in text_of(desk.get(where))
    assert back in text_of(desk.get("/books/"))
