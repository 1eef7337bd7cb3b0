"""The list of invoices and credit notes: filtered, sorted, added up, taken along."""

import csv
from datetime import date
from decimal import Decimal
from io import BytesIO, StringIO

import pytest
from openpyxl import load_workbook

from quotes.changes.services import offer_change, record_change_decision
from quotes.invoicing.queries.invoice_list import (
    SORTS,
    InvoicesAsked,
    invoices_asked_for,
    sums_of_invoices,
)
from quotes.invoicing.services.invoices import credit_invoice, issue_invoice
from quotes.invoicing.services.payments import record_payment
from quotes.models import Invoice
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.edit import edit_quote
from quotes.quoting.services.issue import issue_quote
from tests.factories import NOW, TODAY
from tests.quotes.factories import make_client, make_commission, make_policy, make_quote
from tests.shop.factories import make_template, make_template_stage

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def media(settings, tmp_path, monkeypatch, workshop):
    settings.MEDIA_ROOT = tmp_path
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    make_policy()


def accept(name, **fields):
    """20 h at 45.00, 10 % contingency: 990.00 net; 20 % tax: 1,188.00; parts 30 30 40."""
    template = make_template(f"Little mandolin for {name}")
    make_template_stage(template, "Carve", hours=("2", "20", "80"))
    quote = make_quote(make_commission(make_client(name)), template, on=TODAY)
    quote = edit_quote(quote=quote, **fields)
    issued = issue_quote(quote=quote, on=TODAY, now=NOW)
    return accept_quote(quote=issued, on=TODAY, now=NOW).quote


@pytest.fixture
def books():
    """Four rows.

    Deposits are 30 % of 1,188.00: 356.40 gross, 297.00 net, 59.40 tax. Osric's of 9 March is half
    paid (178.20 open, due 23 March), his stage payment of 3 May was credited as a whole; Lune's
    deposit of 2 June is open.
    """
    osric, lune = accept("Osric Pondweed"), accept("Lune Farthing-Quill")
    first = issue_invoice(quote=osric, part=0, on=TODAY)
    record_payment(
        client=osric.commission.client,
        invoice=first,
        amount=Decimal("178.20"),
        received_on=TODAY,
        now=NOW,
    )
    second = issue_invoice(quote=osric, part=1, on=date(2027, 5, 3))
    credit_invoice(invoice=second, on=date(2027, 5, 4), why="asked too early")
    issue_invoice(quote=lune, part=0, on=date(2027, 6, 2))
    return osric, lune


def numbers(**asked):
    rows = invoices_asked_for(InvoicesAsked(**asked), date(2027, 5, 1))
    return [row.number for row in rows]


def text_of(page):
    return page.content.decode()


ALL = ["I-2027-003", "C-2027-001", "I-2027-002", "I-2027-001"]


@pytest.mark.parametrize(
    ("asked", "found"),
    [
        ({}, ALL),
        ({"sort": "oldest"}, ALL[::-1]),
        ({"sort": "nonsense"}, ALL),
        ({"kind": "credits"}, ["C-2027-001"]),
        ({"kind": "invoices"}, ["I-2027-003", "I-2027-002", "I-2027-001"]),
        ({"state": "open"}, ["I-2027-003", "I-2027-001"]),
        ({"state": "overdue"}, ["I-2027-001"]),
        ({"state": "settled"}, ["I-2027-002"]),
        ({"state": "overpaid"}, []),
        ({"year": 2027, "quarter": 1}, ["I-2027-001"]),
        ({"year": 2027, "quarter": 2}, ALL[:3]),
        ({"year": 2027, "quarter": 4}, []),
        ({"year": 2026}, []),
        ({"search": "farthing"}, ["I-2027-003"]),
        ({"search": "C-2027"}, ["C-2027-001"]),
        ({"sort": "open", "kind": "invoices"}, ["I-2027-003", "I-2027-001", "I-2027-002"]),
    ],
    ids=str,
)
def test_the_list_is_filtered_and_sorted(books, asked, found):
    assert numbers(**asked) == found


@pytest.mark.parametrize("sort", SORTS)
def test_every_order_has_every_row(books, sort):
    assert sorted(numbers(sort=sort)) == sorted(ALL)


def test_the_list_adds_up_by_currency(books):
    # 3 × 297.00 less 297.00 credited: 594.00 net, 118.80 tax; open 178.20 + 356.40 = 534.60.
    (sums,) = sums_of_invoices(Invoice.objects.all())
    assert (sums.currency, sums.count) == ("EUR", 4)
    assert (sums.net, sums.tax, sums.gross) == (
        Decimal("594.00"),
        Decimal("118.80"),
        Decimal("712.80"),
    )
    assert sums.owed == Decimal("534.60")


def test_a_foreign_invoice_is_added_up_in_its_own_money_and_in_the_shop_s(books):
    usd = accept(
        "Fern & Burrow", currency="USD", exchange_rate=Decimal("1.25"), exchange_rate_on=TODAY
    )
    invoice = issue_invoice(quote=usd, part=0, on=date(2027, 6, 3))
    home, foreign = sums_of_invoices(Invoice.objects.all())
    assert (home.count, foreign.currency, foreign.gross) == (4, "USD", invoice.gross)
    assert foreign.home_net == invoice.home_net


def test_the_page_shows_each_row_with_a_link_to_its_paper(desk, books):
    page = text_of(desk.get("/invoices/?state=open"))
    for row in Invoice.objects.filter(number__in=["I-2027-001", "I-2027-003"]):
        assert f'href="/invoices/{row.pk}/">{row.number}</a>' in page
        assert f'href="/commissions/{row.commission_id}/"' in page
    assert "I-2027-002" not in page
    assert "534.60" in page
    assert 'href="/invoices/list.csv?state=open"' in page


def test_what_makes_no_sense_leaves_nothing_out(desk, books):
    odd = "/invoices/?year=x&quarter=9&client=-1&sort=%00&kind=q&state=1&page=zz"
    page = desk.get(odd)
    assert page.status_code == 200
    assert "Total of 4" in text_of(page)
    assert desk.get(f"/invoices/?year=2027&client={10**30}").status_code == 200


def test_nobody_s_list_says_what_to_do(desk):
    assert "Once a quote is accepted" in text_of(desk.get("/invoices/"))
    assert "No invoices match" in text_of(desk.get("/invoices/?q=nobody"))


@pytest.mark.parametrize("kind", ["csv", "xlsx"])
def test_the_list_goes_along_as_a_file(desk, books, kind):
    answer = desk.get(f"/invoices/list.{kind}?kind=invoices&sort=number")
    content = b"".join(answer.streaming_content)
    if kind == "csv":
        rows = list(csv.reader(StringIO(content.decode("utf-8-sig"))))
    else:
        sheet = load_workbook(BytesIO(content)).active
        rows = [[f"{cell}" for cell in row] for row in sheet.iter_rows(values_only=True)]
    head = rows[0]
    assert [row[0] for row in rows[1:]] == ["I-2027-001", "I-2027-002", "I-2027-003"]
    assert Decimal(rows[1][head.index("open")]) == Decimal("178.20")


def test_the_list_asks_the_same_questions_of_many_rows(desk, books, django_assert_max_num_queries):
    with django_assert_max_num_queries(11):
        desk.get("/invoices/")


def test_the_api_filters_by_client_day_and_what_is_open(phone, books):
    osric, _ = books
    query = f"client={osric.commission.client_id}&is_open=true&issued_on_before=2027-03-31"
    (row,) = phone.get(f"/api/v1/invoices/?{query}").json()["results"]
    assert (row["number"], Decimal(row["open_amount"])) == ("I-2027-001", Decimal("178.20"))


def test_a_change_is_ready_to_invoice_at_its_gross(desk, books):
    osric, _ = books
    change = offer_change(
        quote=osric, title="Pickup", price=Decimal("246.25"), on=TODAY, is_paid_ahead=True
    )
    record_change_decision(change=change, agreed=True, now=NOW, by="Osric")
    # 246.25 and 20 % tax: 295.50.
    page = text_of(desk.get("/books/"))
    assert "295.50" in page
    assert "246.25" not in page


def test_the_confirmation_s_payments_add_up_with_an_agreed_change(books):
    from quotes.changes.documents import confirmation_paper

    osric, _ = books
    change = offer_change(
        quote=osric, title="Pickup", price=Decimal("246.25"), on=TODAY, is_paid_ahead=True
    )
    record_change_decision(change=change, agreed=True, now=NOW, by="Osric")
    paper = confirmation_paper(osric, TODAY)
    # Deposit, stage and balance of 1,188.00 at 30 30 40, and the change of 295.50: 1,483.50.
    assert [(part.words, part.amount, part.when) for part in paper.plan] == [
        ("Deposit", Decimal("356.40"), "on ordering"),
        ("Stage payment", Decimal("356.40"), "during the build"),
        ("Balance", Decimal("475.20"), "before delivery"),
        ("Change order 1: Pickup", Decimal("295.50"), "before it is begun"),
    ]
    assert sum(part.amount for part in paper.plan) == paper.gross == Decimal("1483.50")
