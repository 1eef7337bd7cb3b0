"""A year of the books, gathered from quotes, close-outs, invoices, payments and hours."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Max, Min
from django.utils import timezone

from inventory.base.queries import home_minor_unit
from quotes.base.calc.snapshot import from_data
from quotes.closing.calc.sheet import CloseOutSheet
from quotes.models import CloseOut, Commission, Invoice, Payment, Quote
from quotes.pricing.calc.tax_document import TaxedDocument
from quotes.year.calc.year import (
    AcceptedOrder,
    BookedInvoice,
    BookedPayment,
    ClosedBuild,
    YearBooks,
    add_up_year,
    home_groups,
)
from shop.hours.queries.year import year_record

NO_TEMPLATE = "Without a template"
NO_QUOTE = "without a quote"
NOT_ADDED_UP: dict[str, Any] = {"charge_next": None, "next_hours": [], "lost": []}
"""Half of a close-out says what to charge next time: a year has no use for it."""
HOME_NET = "frozen__offer__sheet__document__net"


def year_books(year: int) -> YearBooks:
    """Add up a year in a fixed number of queries, by the days and months of the shop's own time.

    An order counts where it was accepted, money where it was invoiced and where it came in, a
    build where it was closed out. Commissions that were cancelled count no order.
    """
    record = year_record(year)
    return add_up_year(
        year,
        orders=list(_orders(year)),
        closed=list(_closed(year)),
        invoices=list(_invoices(year)),
        payments=list(_payments(year)),
        minutes=[(month.minutes, month.billable_minutes) for month in record.months],
    )


def years_in_the_books(on: date) -> list[int]:
    """Return the years from the first quote to the one of the day, the latest first. One query."""
    ends = Quote.objects.aggregate(first=Min("drafted_on"), last=Max("drafted_on"))
    first = min(ends["first"] or on, on).year
    return list(range(max(ends["last"] or on, on).year, first - 1, -1))


def _orders(year: int) -> Iterable[AcceptedOrder]:
    accepted = Quote.offers.filter(state=Quote.State.ACCEPTED, decided_at__year=year)
    rows = accepted.exclude(commission__state=Commission.State.CANCELLED).order_by("decided_at")
    fields = ("decided_at", "template__name", "commission__client__kind", HOME_NET)
    for decided_at, template, kind, net in rows.values_list(*fields):
        yield AcceptedOrder(
            on=timezone.localtime(decided_at).date(),
            template=template or NO_TEMPLATE,
            client_kind=kind,
            net=Decimal(net or 0),
        )


def _closed(year: int) -> Iterable[ClosedBuild]:
    kept = CloseOut.objects.filter(closed_on__year=year).order_by("closed_on", "pk")
    fields = ("figures", "build__template__name", "build__quote__commission__client__kind")
    for figures, template, kind in kept.values_list(*fields):
        sheet = from_data(CloseOutSheet, figures | NOT_ADDED_UP)
        # A sum over hours that lacks costs would look too good.
        earnings = sheet.whole_earnings
        yield ClosedBuild(
            template=template or NO_TEMPLATE,
            client_kind=kind or NO_QUOTE,
            hours=sheet.hours_actual,
            left=earnings.left if earnings else None,
        )


def _invoices(year: int) -> Iterable[BookedInvoice]:
    rows = Invoice.objects.filter(issued_on__year=year).order_by("issued_on", "pk")
    minor_unit = home_minor_unit()
    for invoice in rows.select_related("commission__client"):
        document = from_data(TaxedDocument, invoice.frozen["document"])
        groups = [(group.rate.words, group.taxable, group.tax) for group in document.groups]
        yield BookedInvoice(
            number=invoice.number,
            on=invoice.issued_on,
            client=invoice.commission.client.name,
            client_kind=invoice.commission.client.kind,
            client_tax_number=invoice.frozen["paper"]["addressee"]["tax_number"],
            kind=invoice.get_kind_display(),
            currency=invoice.currency,
            net=invoice.net,
            tax=invoice.tax,
            gross=invoice.gross,
            home_net=invoice.home_net,
            home_tax=invoice.home_tax,
            groups=home_groups(invoice.home_net, invoice.home_tax, groups, minor_unit),
        )


def _payments(year: int) -> Iterable[BookedPayment]:
    rows = Payment.objects.filter(received_on__year=year).order_by("received_on", "pk")
    for payment in rows.select_related("client"):
        yield BookedPayment(
            number=payment.number,
            on=payment.received_on,
            client=payment.client.name,
            currency=payment.currency,
            amount=payment.amount,
            home=payment.home,
            fee=payment.fee,
        )
