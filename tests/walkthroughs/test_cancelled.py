"""An order cancelled half-way: looked at, settled on paper, and nothing left to invoice."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from inventory.base.refusals import Refusal
from inventory.ledger.services.incoming import NewLine
from inventory.models import Lot
from inventory.purchasing.services.deliveries import receive_delivery
from quotes.cancelling.services import cancel_commission
from quotes.changes.services import offer_change, record_change_decision
from quotes.desk.queries import books_on
from quotes.invoicing.services.invoices import issue_invoice
from quotes.invoicing.services.payments import record_payment
from quotes.models import Change, Invoice, Quote
from quotes.quoting.services.decide import accept_quote
from quotes.quoting.services.edit import edit_quote
from quotes.quoting.services.issue import issue_quote
from shop.builds.services.stock import draw_for_build, scrap_for_build
from shop.hours.queries.work import Work
from shop.hours.services.entries import log_hours
from shop.models import Build
from tests.factories import make_material
from tests.quotes.factories import make_plain_electric_bouzouki, make_policy, make_quote

ON = date(2027, 3, 2)
NOW = datetime(2027, 3, 2, 10, 0, tzinfo=UTC)
LATER = datetime(2027, 5, 4, 10, 0, tzinfo=UTC)


@pytest.fixture
def order(workshop, settings, tmp_path, monkeypatch):
    """Osric's order of W1: 3,768.00 gross in parts of 1,130.40, 1,130.40 and 1,507.20."""
    monkeypatch.setattr("django.utils.timezone.now", lambda: LATER)
    settings.MEDIA_ROOT = tmp_path
    make_policy()
    draft = make_quote(template=make_plain_electric_bouzouki(), on=ON)
    quote = issue_quote(quote=edit_quote(quote=draft, shipping=Decimal(60)), on=ON, now=NOW)
    return accept_quote(quote=quote, on=ON, now=NOW).quote


@pytest.fixture
def half_way(order, posy):
    """Thirty hours, two of them remaking; two maple blanks at 40.00 drawn and one scrapped."""
    build = order.build
    maple = make_material("maple blank", kept_as="piece")
    receive_delivery(
        received_on=ON,
        lines=[NewLine(material=maple, quantity=Decimal(3), price=Decimal(120))],
        now=NOW,
    )
    for lot in Lot.objects.filter(material=maple)[:2]:
        draw_for_build(build=build, quantity=Decimal(1), now=NOW, material=maple, lot=lot)
    [lot] = Lot.objects.filter(material=maple)[2:]
    scrap_for_build(build=build, quantity=Decimal(1), why="knot", now=NOW, material=maple, lot=lot)
    work = [Work(build=build, stage=build.stages.first())]
    for day in (3, 4, 5, 6):
        log_hours(person=posy, day=date(2027, 3, day), minutes=420, now=NOW, work=work)
    log_hours(person=posy, day=date(2027, 3, 7), minutes=120, now=NOW, work=work, is_remake=True)
    return order


def paid(quote, *parts):
    for part in parts:
        invoice = issue_invoice(quote=quote, part=part, on=ON)
        record_payment(
            client=quote.commission.client,
            invoice=invoice,
            amount=invoice.gross,
            received_on=ON,
            now=NOW,
        )


def test_the_settlement_is_proposed_with_its_parts(half_way, phone):
    paid(half_way, 0)
    kept = half_way.build.draws.filter(entry__reason="drawn").last()
    address = f"/api/v1/commissions/{half_way.commission_id}/cancelling/"
    due = phone.get(address).json()["settlement"]
    # 28 h at 45 are 1,260.00; two blanks 80.00 and 25 % are 100.00; tax 20 % of 1,360.00 is 272.00.
    assert [(part["name"], part["amount"]) for part in due["parts"]] == [
        ("Hours so far", "1260.000"),
        ("Materials that stay drawn", "100.000"),
        ("Tax", "272.000"),
    ]
    assert (due["work"], due["deposit"], due["proposed"]) == ("1632.000", "1130.400", "1632.000")
    assert (due["received"], due["to_pay"]) == ("1130.400", "501.600")
    # One blank back on the shelf: 50.00 and its 10.00 of tax less.
    due = phone.get(f"{address}?returned={kept.pk}").json()["settlement"]
    assert due["work"] == "1572.000"


def test_the_deposit_is_proposed_where_it_is_more_than_the_work(order, phone):
    due = phone.get(f"/api/v1/commissions/{order.commission_id}/cancelling/").json()["settlement"]
    assert (due["work"], due["proposed"]) == ("0.000", "1130.400")


def test_the_page_settles_by_a_final_invoice_and_all_reads_cancelled(half_way, desk):
    paid(half_way, 0)
    change = offer_change(quote=half_way, title="Wider nut", price=Decimal(30), on=ON)
    drawn = half_way.build.draws.filter(entry__reason="drawn").last()
    address = f"/commissions/{half_way.commission_id}/cancel/"
    shown = desk.get(address).content.decode()
    for words in ("1,632.00", "not a ruling", "28:00", "scrapped"):
        assert words in shown
    asked = {"why": "moved away", "settlement": "1600.00", "returned": [drawn.pk]}
    assert desk.post(address, asked).status_code == 302
    invoice = Invoice.objects.get(kind=Invoice.Kind.SETTLEMENT)
    # 1,600.00 less the 1,130.40 invoiced; 3,140.00 × 469.60 / 3,768.00 is 391.33 net.
    assert (invoice.net, invoice.tax, invoice.gross) == (
        Decimal("391.33"),
        Decimal("78.27"),
        Decimal("469.60"),
    )
    assert invoice.number == "I-2027-002"
    assert invoice.document_sha256
    lot = drawn.entry.lot
    lot.refresh_from_db()
    assert lot.remaining == 1
    quote = Quote.objects.get(pk=half_way.pk)
    assert (quote.state, quote.decline_reason) == ("cancelled", "moved away")
    assert Build.objects.get(pk=quote.build_id).state == "cancelled"
    change = Change.objects.get(pk=change.pk)
    assert change.state == "declined"
    page = desk.get(f"/commissions/{half_way.commission_id}/").content.decode()
    assert "cancelled on" in page
    assert "moved away" in page
    # Owed are the 469.60 of the final invoice, and nothing else.
    assert "469.60" in page
    assert "Payment plan" not in page


def test_a_settlement_below_what_is_invoiced_is_credited_from_the_latest_invoice(half_way, phone):
    paid(half_way, 0, 1)
    answer = phone.post(
        f"/api/v1/commissions/{half_way.commission_id}/cancel/",
        {"why": "moved away", "settlement": "1000.00"},
    )
    assert answer.json()["state"] == "cancelled"
    # Invoiced are 2,260.80: 1,260.80 go back, all of the second part and 130.40 of the first.
    notes = Invoice.objects.filter(kind=Invoice.Kind.CREDIT).order_by("pk")
    assert [(note.credits.part, note.gross) for note in notes] == [
        (0, Decimal("-130.40")),
        (1, Decimal("-1130.40")),
    ]


def test_nothing_of_a_cancelled_order_can_be_invoiced_or_changed(half_way):
    agreed = offer_change(quote=half_way, title="Pickup", price=Decimal(130), on=ON)
    record_change_decision(change=agreed, agreed=True, now=NOW)
    cancel_commission(commission=half_way.commission, now=LATER, settlement=Decimal("1632.00"))
    books = books_on(LATER.date())
    assert (books.to_invoice, books.changes) == ([], [])
    quote = Quote.objects.get(pk=half_way.pk)
    with pytest.raises(Refusal, match="is cancelled"):
        issue_invoice(quote=quote, part=0, on=LATER.date())
    with pytest.raises(Refusal, match="is cancelled"):
        issue_invoice(quote=quote, change=agreed, on=LATER.date())
    with pytest.raises(Refusal, match="is cancelled"):
        offer_change(quote=quote, title="Wider nut", price=Decimal(30), on=LATER.date())


@pytest.mark.parametrize("settlement", ["-1", "3768.01"])
def test_the_settlement_is_from_nothing_to_what_was_agreed(half_way, settlement):
    with pytest.raises(Refusal, match="from 0 to the agreed"):
        cancel_commission(commission=half_way.commission, now=LATER, settlement=Decimal(settlement))
    assert Build.objects.get().is_open
