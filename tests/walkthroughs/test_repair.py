"""A repair at time and materials: estimated, clocked, drawn for, invoiced by what was done."""

from datetime import date
from decimal import Decimal

import pytest

from inventory.base.refusals import Refusal
from inventory.ledger.services.incoming import NewLine
from inventory.models import Material
from inventory.purchasing.services.deliveries import receive_delivery
from quotes.base.calc.snapshot import from_data
from quotes.changes.documents import confirmation_paper
from quotes.closing.services import record_expense
from quotes.invoicing.services.invoices import credit_invoice, issue_invoice
from quotes.models import Invoice, Quote
from quotes.papers.documents.papers import QuotePaper
from quotes.papers.documents.printing import paper_html
from quotes.quoting.services.edit import edit_quote
from shop.builds.services.stock import draw_for_build, scrap_for_build
from shop.hours.queries.work import Work
from shop.hours.services.entries import log_hours
from tests.factories import NOW, TODAY, make_material
from tests.quotes.factories import make_client, make_commission, make_policy, make_quote
from tests.shop.factories import make_template, make_template_stage

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def shop(workshop, settings, tmp_path, monkeypatch):
    settings.MEDIA_ROOT = tmp_path
    monkeypatch.setattr("django.utils.timezone.now", lambda: NOW)
    make_policy()


@pytest.fixture
def refret():
    """The small template: about 5 h in two stages."""
    template = make_template("Re-fret")
    make_template_stage(template, "Pull and fit", hours=("3", "4", "6"))
    make_template_stage(template, "Dress", hours=("0.5", "1", "2"))
    return template


@pytest.fixture
def repair(refret, phone):
    """Osric's re-fret: drafted, issued and accepted through the API."""
    client = make_client("Osric Pondweed")
    made = phone.post("/api/v1/quotes/", {"client": client.pk, "template": refret.pk})
    address = f"/api/v1/quotes/{made.json()['id']}/"
    asked = {"is_time_and_materials": True, "parts": ["1"], "title": "Re-fret of a mandolin"}
    etag = phone.get(address).headers["ETag"]
    changed = phone.patch(address, asked, headers={"If-Match": etag})
    assert changed.status_code == 200, changed.json()
    assert phone.post(f"{address}issue/").status_code == 200
    assert phone.post(f"{address}accept/").status_code == 200
    return Quote.objects.get()


@pytest.fixture
def done(repair, posy):
    """3:40 of fitting, 1:15 of dressing and half an hour more of it over again.

    1,500 mm of fretwire that costs 0.012 a mm to replace, two nut blanks at 6.40 to replace, one
    of them scrapped, and 14.30 paid for plating.
    """
    build = repair.build
    fit, dress = build.stages.all()
    for stage, minutes, is_remake in ((fit, 220, False), (dress, 75, False), (dress, 30, True)):
        work = [Work(build=build, stage=stage)]
        log_hours(person=posy, day=TODAY, minutes=minutes, now=NOW, work=work, is_remake=is_remake)
    wire = make_material("fretwire", kept_as="length")
    nut = make_material("nut blank")
    lines = [
        NewLine(material=wire, quantity=Decimal(2000), price=Decimal(20)),
        NewLine(material=nut, quantity=Decimal(4), price=Decimal(20)),
    ]
    receive_delivery(received_on=TODAY, lines=lines, now=NOW)
    Material.objects.filter(pk=wire.pk).update(replacement_price=Decimal("0.012"))
    Material.objects.filter(pk=nut.pk).update(replacement_price=Decimal("6.40"))
    draw_for_build(build=build, quantity=Decimal(1500), now=NOW, material=wire)
    draw_for_build(build=build, quantity=Decimal(1), now=NOW, material=nut)
    scrap_for_build(build=build, quantity=Decimal(1), why="slipped", now=NOW, material=nut)
    record_expense(
        build=build, kind="outside", about="Plating", amount=Decimal("14.30"), paid_on=TODAY
    )
    return repair


def test_the_work_comes_to_what_was_done_to_the_cent(done, phone):
    told = phone.get(f"/api/v1/quotes/{done.pk}/work-done/").json()
    assert [(line["name"], line["net"]) for line in told["lines"]] == [
        # 220 min at 45.00 an hour: 3.6667 × 45.00 = 165.00.
        ("Pull and fit, 3.67 h at 45", "165.000"),
        # 75 min: 1.25 × 45.00 = 56.25; the half hour of rework is not the client's.
        ("Dress, 1.25 h at 45", "56.250"),
        # 1,500 × 0.012 = 18.00, and 25 % markup: 22.50.
        ("fretwire", "22.500"),
        # One blank at 6.40 and 25 %: 8.00; the scrapped one is not the client's.
        ("nut blank", "8.000"),
        ("Plating", "14.300"),
    ]
    # 165.00 + 56.25 + 22.50 + 8.00 + 14.30 = 266.05; 20 % of it 53.21.
    assert (told["net"], told["tax"], told["gross"]) == ("266.050", "53.210", "319.260")
    assert told["invoice"] is None


def test_the_page_shows_it_and_invoices_it_once(done, desk):
    address = f"/quotes/{done.pk}/work-done/"
    page = desk.get(address).content.decode()
    for words in ("319.26", "is not charged.", "165.00", "Issue the invoice"):
        assert words in page
    assert desk.post(address, {"delivered_on": TODAY.isoformat()}).status_code == 302
    invoice = Invoice.objects.get()
    assert (invoice.net, invoice.tax, invoice.gross) == (
        Decimal("266.05"),
        Decimal("53.21"),
        Decimal("319.26"),
    )
    assert invoice.number in desk.get(address).content.decode()
    again = desk.post(address)
    assert (again.status_code, Invoice.objects.count()) == (409, 1)
    credit_invoice(invoice=invoice, on=TODAY, why="too early")
    assert desk.post(address).status_code == 302


def test_the_books_lead_to_the_work_and_not_to_the_estimate(repair, desk):
    page = desk.get("/books/").content.decode()
    assert f'href="/quotes/{repair.pk}/work-done/"' in page
    assert "estimate" in page
    with pytest.raises(Refusal, match="Invoice the work done instead"):
        issue_invoice(quote=repair, part=0, on=TODAY)
    shown = desk.get(f"/commissions/{repair.commission_id}/").content.decode()
    assert "work done so far" in shown


def test_the_client_reads_that_it_is_an_estimate(repair):
    # 5 h at 45.00 and 10 % contingency: 247.50, up to 250.00; 300.00 with tax.
    assert repair.gross == Decimal("300.00")
    paper = repair.frozen["paper"]
    assert "at 45.00 EUR an hour before tax" in paper["charged"]
    confirmed = confirmation_paper(repair, TODAY)
    for template, shown in (
        ("quote", from_data(QuotePaper, paper)),
        ("confirmation", confirmed),
    ):
        words = paper_html(f"quotes/papers/{template}.html", shown, made_on=f"{TODAY}")
        assert "An estimate: the invoice goes by the hours worked" in words
        assert "Payment plan" not in words
    assert "markup" not in paper["charged"]


def test_nothing_done_is_nothing_to_invoice(repair, phone):
    told = phone.get(f"/api/v1/quotes/{repair.pk}/work-done/").json()
    assert (told["lines"], told["gross"]) == ([], "0.000")
    answer = phone.post(f"/api/v1/quotes/{repair.pk}/work-done/")
    assert (answer.status_code, Invoice.objects.count()) == (409, 0)


def test_a_fixed_price_has_no_such_page(refret, desk, phone):
    quote = make_quote(make_commission(), refret, on=TODAY)
    assert desk.get(f"/quotes/{quote.pk}/work-done/").status_code == 404
    assert phone.get(f"/api/v1/quotes/{quote.pk}/work-done/").status_code == 409


def test_an_estimate_is_paid_at_the_end_and_in_the_shop_s_money(refret):
    quote = make_quote(make_commission(), refret, on=TODAY)
    with pytest.raises(Refusal, match="set the payment plan to 100"):
        edit_quote(quote=quote, is_time_and_materials=True)
    with pytest.raises(Refusal, match="is invoiced in EUR"):
        edit_quote(
            quote=quote,
            is_time_and_materials=True,
            parts="100",
            currency="USD",
            exchange_rate=Decimal("1.25"),
            exchange_rate_on=date(2027, 3, 1),
        )
