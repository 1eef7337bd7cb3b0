"""A year end with work in progress: one sheet, the same whenever it is asked for.

All of it happens at Turnip Hollow in 2027, but for what is said to be later.
"""

from datetime import UTC, date, datetime
from decimal import Decimal
from io import BytesIO

import pytest
from openpyxl import load_workbook
from pypdf import PdfReader

from inventory.ledger.services.incoming import NewLine
from inventory.models import Lot, Material, PriceNote
from inventory.purchasing.services.deliveries import receive_delivery
from quotes.closing.services import record_expense
from quotes.invoicing.services.invoices import issue_invoice
from quotes.invoicing.services.payments import record_payment
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.edit import edit_quote
from quotes.quoting.services.issue import issue_quote
from quotes.year_end.queries import year_end
from shop.builds.services.end import finish_build
from shop.builds.services.stock import draw_for_build, scrap_for_build
from shop.hours.queries.work import Work
from shop.hours.services.entries import log_hours
from tests.factories import make_material
from tests.quotes.factories import make_plain_electric_bouzouki, make_policy, make_quote

ON = date(2027, 3, 2)
NOW = datetime(2027, 3, 2, 10, 0, tzinfo=UTC)
NEXT_YEAR = datetime(2028, 1, 11, 10, 0, tzinfo=UTC)
LATER = datetime(2028, 6, 1, 10, 0, tzinfo=UTC)
API = "/api/v1/books/2027/end/"


def receive(material, quantity, price):
    line = NewLine(material=material, quantity=Decimal(quantity), price=Decimal(price))
    receive_delivery(received_on=ON, lines=[line], now=NOW)


@pytest.fixture
def maple(db):
    return make_material("maple blank", kept_as="piece", realisable_price=Decimal(25))


@pytest.fixture
def order(workshop, settings, tmp_path, monkeypatch):
    """Osric's order of W1: 3,768.00 gross; its deposit of 942.00 net is 1,130.40 gross."""
    monkeypatch.setattr("django.utils.timezone.now", lambda: LATER)
    settings.MEDIA_ROOT = tmp_path
    make_policy()
    draft = make_quote(template=make_plain_electric_bouzouki(), on=ON)
    quote = issue_quote(quote=edit_quote(quote=draft, shipping=Decimal(60)), on=ON, now=NOW)
    return accept_quote(quote=quote, on=ON, now=NOW).quote


@pytest.fixture
def year(order, maple, posy):
    """What happened in 2027, and what happened to the same build in January 2028.

    Maple: three blanks for 120.00, 40.00 each; one drawn, one scrapped on the build, one left.
    Wire: 1,000 mm for 10.00; 920 mm drawn at 9.20, an end of 80 mm left at 0.80.
    Glue: four for 20.00, good until 30 September.
    Hours: 10:30 on the build. Outside work: 55.00. The deposit is invoiced, and 500.00 of it paid.
    """
    build = order.build
    wire = make_material("fretwire", kept_as="length", realisable_price=None)
    glue = make_material("glue", realisable_price=None)
    receive(maple, 3, 120)
    receive(wire, 1000, 10)
    receive(glue, 4, 20)
    Lot.objects.filter(material=glue).update(expires_on=date(2027, 9, 30))
    PriceNote.objects.all().delete()  # prices as the maker typed them, for all days
    Material.objects.filter(pk=maple.pk).update(replacement_price=Decimal(44))
    Material.objects.filter(pk=wire.pk).update(replacement_price=Decimal("0.012"))
    Material.objects.filter(pk=glue.pk).update(replacement_price=None)
    first, second, third = Lot.objects.filter(material=maple).order_by("pk")
    one = Decimal(1)
    draw_for_build(build=build, quantity=one, now=NOW, material=maple, lot=first)
    scrap_for_build(build=build, quantity=one, why="knot", now=NOW, material=maple, lot=second)
    draw_for_build(build=build, quantity=Decimal(920), now=NOW, material=wire)
    work = [Work(build=build, stage=build.stages.first())]
    log_hours(person=posy, day=date(2027, 3, 1), minutes=630, now=NOW, work=work)
    record_expense(build=build, kind="outside", amount=Decimal(55), paid_on=date(2027, 6, 1))
    deposit = issue_invoice(quote=order, part=0, on=ON)
    pay(deposit, "500.00", date(2027, 4, 1))
    # January 2028: the last blank, an hour, more outside work, the rest of the deposit, the end.
    draw_for_build(build=build, quantity=one, now=NEXT_YEAR, material=maple, lot=third)
    log_hours(person=posy, day=date(2028, 1, 11), minutes=60, now=NEXT_YEAR, work=work)
    record_expense(build=build, kind="outside", amount=Decimal(12), paid_on=date(2028, 1, 4))
    pay(deposit, "630.40", date(2028, 1, 5))
    finish_build(build=build, now=NEXT_YEAR)
    return order


def pay(invoice, amount, on):
    record_payment(
        client=invoice.commission.client,
        invoice=invoice,
        amount=Decimal(amount),
        received_on=on,
        now=NOW,
    )


def test_the_year_end_to_the_cent(year, phone):
    end = phone.get(f"{API}?labour=22.00").json()
    # Stock: a blank at 40.00, an end of wire at 0.80, glue at 20.00.
    assert end["stock_cost"] == "60.800"
    # The glue had expired and the end is under 100 mm: 20.00 + 0.80.
    assert [(one["material"], one["cost"], one["why"]) for one in end["write_downs"]] == [
        ("fretwire", "0.800", "end under 100 mm"),
        ("glue", "20.000", "expired on 30 September 2027"),
    ]
    # The blank would fetch 25.00, 15.00 less than it cost.
    assert (end["written_down"], end["below_cost"], end["stock_value"]) == (
        "20.800",
        "15.000",
        "25.000",
    )
    # In the build: a blank 40.00, wire 9.20, outside work 55.00. Not in it: the scrapped blank.
    (build,) = end["builds"]
    assert (build["materials"], build["bought"], build["cost"], build["scrapped"]) == (
        "49.200",
        "55.000",
        "104.200",
        "40.000",
    )
    # 10.5 h at 22.00: 231.00.
    assert (build["minutes"], build["labour"], build["with_labour"]) == (
        "630.00",
        "231.000",
        "335.200",
    )
    assert build["invoiced"] == "942.000"
    # 25.00 + 104.20 + 231.00.
    assert end["inventories"] == "360.200"
    # 1,130.40 less the 500.00 paid by then.
    assert [(one["number"], one["amount"]) for one in end["owed"]] == [("I-2027-001", "630.400")]


def test_labour_is_left_out_unless_it_is_asked_for(year, phone):
    end = phone.get(API).json()
    assert (end["labour"], end["labour_rate"], end["inventories"]) == ("0.000", None, "129.200")


def test_what_happened_later_belongs_to_the_next_year(year, phone):
    end = phone.get("/api/v1/books/2028/end/").json()
    assert (end["builds"], end["owed"]) == ([], [])
    assert end["stock_cost"] == "20.800"
    assert phone.get("/api/v1/books/2026/end/").json()["stock"] == []


def test_a_missing_replacement_price_is_named_and_never_counted_as_nothing(year, desk):
    end = year_end(2027)
    assert [line.name for line in end.without_replacement] == ["glue"]
    # One blank at 44.00 and 80 mm of wire at 0.012: 44.96.
    assert end.replacement == Decimal("44.96")
    page = desk.get("/books/2027/end/").content.decode()
    assert "leaves out 1 without a price: glue" in page


def test_the_page_shows_what_the_api_says(year, desk):
    page = desk.get("/books/2027/end/?labour=22").content.decode()
    for words in ("60.80", "20.80", "15.00", "104.20", "231.00", "335.20", "360.20", "630.40"):
        assert words in page
    assert "still to come" not in page
    assert "still to come" in desk.get("/books/2028/end/").content.decode()


def test_the_sheet_is_ticked_off_on_paper(year, desk):
    answer = desk.get("/books/2027/end.pdf?labour=22")
    words = " ".join(page.extract_text() for page in PdfReader(BytesIO(answer.content)).pages)
    for found in ("Year end 2027", "maple blank", "expired on 30 September 2027", "360.20"):
        assert found in words


def test_the_tables_go_to_the_accountant(year, desk):
    book = load_workbook(BytesIO(desk.get("/books/2027/end.xlsx?labour=22").content))
    assert book.sheetnames == [
        "summary",
        "stock",
        "write-downs",
        "work in progress",
        "owed",
        "without a price",
    ]
    rows = {
        row[0]: Decimal(f"{row[1]}")
        for row in book["summary"].iter_rows(min_row=2, values_only=True)
    }
    assert rows["stock and work in progress"] == Decimal("360.20")
    # The sums of the summary are those of its lines.
    assert (
        rows["stock at cost"] + rows["proposed write-downs"] + rows["realisable value below cost"]
        == rows["stock, carrying value"]
    )


def test_the_year_tells_its_quarters_and_the_tax_of_each(year, phone):
    quarters = phone.get("/api/v1/books/2027/").json()["quarters"]
    first = quarters[0]
    assert (first["invoiced"], first["tax"]) == ("942.000", "188.400")
    assert first["taxes"] == [{"words": "20 %", "net": "942.000", "tax": "188.400"}]
    # The 500.00 came in on 1 April.
    assert (first["received"], quarters[1]["received"]) == ("0.000", "500.000")
    assert quarters[1]["taxes"] == []


@pytest.mark.parametrize("address", ["/books/0/end/", "/books/9999/end.pdf"])
def test_there_is_no_such_year(desk, address):
    assert desk.get(address).status_code == 404


def test_an_odd_rate_is_refused_by_the_page_and_the_api(desk, phone):
    assert desk.get("/books/2027/end/?labour=x").status_code == 422
    assert phone.get(f"{API}?labour=-1").status_code == 400


def test_the_sheet_asks_the_same_questions_of_many_rows(year, django_assert_num_queries):
    with django_assert_num_queries(19):
        year_end(2027)
