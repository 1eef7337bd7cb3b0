"""A year of the books: its page, its figures from the books, its files."""

import csv
from datetime import UTC, date, datetime
from decimal import Decimal
from io import BytesIO, StringIO
from zoneinfo import ZoneInfo

import pytest
from django.utils import timezone
from openpyxl import load_workbook

from quotes.cancelling.services import cancel_commission
from quotes.closing.services import close_out, record_expense
from quotes.invoicing.services.invoices import credit_invoice, issue_invoice
from quotes.invoicing.services.payments import record_payment
from quotes.models import Client
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.edit import edit_quote
from quotes.quoting.services.issue import issue_quote
from quotes.year.queries import year_books, years_in_the_books
from shop.builds.services.end import finish_build
from shop.hours.queries.work import Work
from shop.hours.services.entries import log_hours
from tests.factories import NOW, TODAY
from tests.quotes.factories import make_client, make_commission, make_policy, make_quote
from tests.shop.factories import make_template, make_template_line, make_template_stage

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def the_day(monkeypatch, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)


@pytest.fixture
def template(workshop):
    make_policy()
    template = make_template("Little mandolin")
    make_template_stage(template, "Carve", hours=("20", "48", "80"))
    make_template_line(template, "all of it", cost_likely=Decimal("560.80"))
    return template


def order(template, name="Osric Pondweed", **fields):
    """The W1 price: 3,140.00 net with shipping, 3,768.00 gross."""
    quote = make_quote(make_commission(make_client(name)), template, on=TODAY)
    quote = edit_quote(quote=quote, shipping=Decimal(60), **fields)
    return accept_quote(quote=issue_quote(quote=quote, on=TODAY, now=NOW), on=TODAY, now=NOW).quote


def test_the_figures_are_those_of_the_books(desk, posy, template):
    quote = order(template)
    first = issue_invoice(quote=quote, part=0, on=TODAY)
    second = issue_invoice(quote=quote, part=1, on=date(2027, 5, 3))
    credit_invoice(invoice=second, on=date(2027, 5, 4), why="asked too early")
    record_payment(
        client=quote.commission.client,
        invoice=first,
        amount=Decimal("1130.40"),
        received_on=date(2027, 4, 1),
        now=NOW,
    )
    books = year_books(2027)
    assert (books.accepted, books.accepted_net) == (1, Decimal("3140.00"))
    assert (books.invoiced, books.tax) == (Decimal("942.00"), Decimal("188.40"))
    assert books.received == Decimal("1130.40")
    assert [(row.words, row.net, row.tax) for row in books.taxes] == [
        ("20 %", Decimal("942.00"), Decimal("188.40"))
    ]
    text = desk.get("/books/2027/").content.decode()
    for shown in ("942.00", "188.40", "1,130.40", "3,140.00", "Little mandolin", "accountant"):
        assert shown in text
    assert text.count("<svg") >= 2


def test_a_closed_build_shows_what_its_hours_earned(posy, template):
    build = order(template).build
    work = [Work(build=build, stage=build.stages.get())]
    for day in range(5):
        log_hours(person=posy, day=date(2027, 3, 1 + day), minutes=600, now=NOW, work=work)
    line = build.lines.get()
    record_expense(build=build, kind="material", line=line, amount=Decimal("560.80"), paid_on=TODAY)
    finish_build(build=build, now=NOW)
    kept = close_out(build=build, on=date(2027, 6, 1), now=NOW)
    (row,) = year_books(2027).templates
    left = Decimal(kept.figures["money"]["earnings"]["received"])
    assert (row.closed, row.hours) == (1, 50)
    # Less 560.80 of material and 60.00 of shipping, over 50 h.
    assert row.hourly == round((left - Decimal("620.80")) / 50, 2)
    assert year_books(2027).months[2].minutes == 3000
    assert year_books(2028).is_empty


def test_a_closed_build_that_lacks_a_cost_has_no_hourly_rate(posy, template):
    build = order(template).build
    work = [Work(build=build, stage=build.stages.get())]
    log_hours(person=posy, day=date(2027, 3, 1), minutes=600, now=NOW, work=work)
    finish_build(build=build, now=NOW)
    close_out(build=build, on=date(2027, 6, 1), now=NOW)
    (row,) = year_books(2027).templates
    assert (row.closed, row.hours, row.hourly) == (1, 10, None)


def test_a_cancelled_commission_counts_no_order(template):
    cancel_commission(commission=order(template).commission, now=NOW)
    assert year_books(2027).accepted == 0


def test_foreign_invoices_count_in_home_money(template):
    quote = order(template, currency="USD", exchange_rate=Decimal("1.25"), exchange_rate_on=TODAY)
    invoice = issue_invoice(quote=quote, part=0, on=TODAY)
    books = year_books(2027)
    assert (books.invoiced, books.tax) == (invoice.home_net, invoice.home_tax)
    assert books.invoiced == sum(row.net for row in books.taxes)
    assert invoice.home_net < invoice.net


def test_the_last_night_of_the_year_belongs_to_the_shop_s_own_time(template, workshop):
    workshop.time_zone = "Pacific/Auckland"
    workshop.save()
    quote = make_quote(make_commission(), template, on=TODAY)
    quote = issue_quote(quote=quote, on=TODAY, now=NOW)
    accept_quote(quote=quote, on=TODAY, now=datetime(2027, 3, 31, 23, 0, tzinfo=UTC))
    with timezone.override(ZoneInfo("Pacific/Auckland")):
        assert [row.month for row in year_books(2027).months if row.accepted] == [4]
    assert [row.month for row in year_books(2027).months if row.accepted] == [3]


def test_years_are_offered_from_the_first_quote_on(template):
    order(template)
    assert years_in_the_books(date(2029, 1, 5)) == [2029, 2028, 2027]


@pytest.mark.parametrize(
    "table", ["months", "templates", "clients", "taxes", "invoices", "payments"]
)
def test_each_table_goes_along_as_csv(desk, template, table):
    issue_invoice(quote=order(template), part=0, on=TODAY)
    answer = desk.get(f"/books/2027/{table}.csv")
    assert answer["Content-Disposition"] == f'attachment; filename="books-2027-{table}.csv"'
    head, *rows = csv.reader(StringIO(answer.content.decode("utf-8-sig")))
    assert all(len(row) == len(head) for row in rows)
    if table == "invoices":
        assert rows[0][:4] == ["I-2027-001", "2027-03-09", "Osric Pondweed", "deposit"]
        assert rows[0][-2:] == ["942.00", "188.40"]


def test_all_tables_go_along_as_xlsx_with_numbers_as_numbers(desk, template):
    issue_invoice(quote=order(template), part=0, on=TODAY)
    book = load_workbook(BytesIO(desk.get("/books/2027.xlsx").content))
    assert book.sheetnames == [
        "months", "quarters", "templates", "clients", "taxes", "taxes-by-quarter",
        "member-states", "invoices", "payments",
    ]  # fmt: skip
    march = [cell.value for cell in book["months"][4]]
    assert march[:4] == [3, 1, 942, 188.4]
    assert book["invoices"]["B2"].is_date
    assert (book["invoices"]["F2"].value, book["invoices"]["F2"].number_format) == (942, "#,##0.00")


@pytest.mark.parametrize("name", ["=1+1", "@sum", "+31", "-x"])
def test_a_name_is_never_run_as_a_formula(desk, template, name):
    issue_invoice(quote=order(template, name), part=0, on=TODAY)
    cell = load_workbook(BytesIO(desk.get("/books/2027.xlsx").content))["invoices"]["C2"]
    assert (cell.value, cell.data_type) == (f"'{name}", "s")
    assert f"'{name}" in desk.get("/books/2027/invoices.csv").content.decode()


@pytest.mark.parametrize("path", ["2027/secrets.csv", "0/", "9999/", "9999.xlsx"])
def test_what_there_is_not_is_not_found(desk, workshop, path):
    assert desk.get(f"/books/{path}").status_code == 404


def test_an_empty_year_says_so(desk, workshop):
    assert "Nothing recorded in" in desk.get("/books/2020/").content.decode()


def test_the_books_lead_to_the_year(desk, workshop):
    assert 'href="/books/2027/"' in desk.get("/books/").content.decode()


def test_the_api_tells_the_year(phone, template):
    issue_invoice(quote=order(template), part=0, on=TODAY)
    year = phone.get("/api/v1/books/2027/").json()
    assert (year["invoiced"], year["tax"]) == ("942.000", "188.400")
    assert year["months"][2]["accepted"] == 1
    assert phone.get("/api/v1/books/0/").status_code == 404


@pytest.mark.parametrize("count", [1, 25])
def test_a_year_asks_a_fixed_number_of_questions(
    desk, template, count, django_assert_num_queries, monkeypatch
):
    for place in ("quotes.papers.bookkeeping", "quotes.invoicing.services.invoices"):
        monkeypatch.setattr(f"{place}.print_paper", lambda *_, **__: b"%PDF-")
    for number in range(count):
        issue_invoice(quote=order(template, f"client {number}"), part=0, on=TODAY)
    assert Client.objects.count() == count
    desk.get("/books/2027/")
    with django_assert_num_queries(13):
        desk.get("/books/2027/")
