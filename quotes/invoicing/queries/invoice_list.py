"""The list of all invoices and credit notes: what is looked for, in which order, and its sums."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.db.models import Q, QuerySet, Sum

from inventory.base.calc.periods import days_of
from inventory.base.queries import sums_by_currency, years_of
from inventory.fields import money_value
from quotes.models import Invoice

NOTHING = money_value(Decimal(0))
SORTS = {
    "newest": ("-issued_on", "-pk"),
    "oldest": ("issued_on", "pk"),
    "number": ("number",),
    "client": ("commission__client__name", "-issued_on", "-pk"),
    "due": ("due_on", "pk"),
    "gross": ("-gross", "-issued_on", "-pk"),
    "open": ("-unsettled", "-issued_on", "-pk"),
}
"""The orders of the list by their names, each the same whenever it is asked."""


@dataclass(frozen=True, slots=True, kw_only=True)
class InvoicesAsked:
    """What is looked for; what is empty (0, None) leaves nothing out."""

    search: str = ""
    kind: str = ""
    state: str = ""
    client: int | None = None
    year: int | None = None
    quarter: int | None = None
    sort: str = "newest"


@dataclass(frozen=True, slots=True, kw_only=True)
class InvoiceSums:
    """What a list comes to in one currency; of what is open, money on account is not taken off."""

    currency: str
    count: int
    net: Decimal
    tax: Decimal
    gross: Decimal
    home_net: Decimal
    home_tax: Decimal
    owed: Decimal


def invoices_asked_for(asked: InvoicesAsked, on: date) -> QuerySet[Invoice]:
    """Return what is asked for, in its order; `on` is the day by which it is overdue."""
    rows = Invoice.objects.select_related("commission__client", "credits")
    rows = rows.defer("frozen", "credits__frozen").filter(_of_kind(asked.kind))
    rows = rows.filter(_in_state(asked.state, on), _in_time(asked.year, asked.quarter))
    if asked.client:
        rows = rows.filter(commission__client=asked.client)
    if asked.search:
        rows = rows.filter(
            Q(number__icontains=asked.search)
            | Q(commission__title__icontains=asked.search)
            | Q(commission__client__name__icontains=asked.search)
        )
    return rows.order_by(*SORTS.get(asked.sort, SORTS["newest"]))


def sums_of_invoices(rows: QuerySet[Invoice]) -> list[InvoiceSums]:
    """Add a list up, currency by currency, in one query."""
    names = ("net", "tax", "gross", "home_net", "home_tax")
    owed = Sum("unsettled", filter=Q(unsettled__gt=NOTHING))
    return [InvoiceSums(**sums) for sums in sums_by_currency(rows, names, owed=owed)]


def years_invoiced() -> list[int]:
    """Return the years in which something was invoiced, the latest first. One query."""
    return years_of(Invoice.objects.all(), "issued_on")


def invoice_rows(rows: QuerySet[Invoice]) -> Iterator[dict[str, Any]]:
    """Yield a list as rows of a table to keep, each with the state of its invoice."""
    for row in rows.iterator(chunk_size=2000):
        yield {
            "number": row.number,
            "kind": row.get_kind_display(),
            "credits": row.credits.number if row.credits else "",
            "client": row.commission.client.name,
            "commission": row.commission.title,
            "issued": row.issued_on,
            "due": "" if row.is_credit else row.due_on,
            "currency": row.currency,
            "net": row.net,
            "tax": row.tax,
            "gross": row.gross,
            "open": row.open_amount,
            "net in home currency": row.home_net,
            "tax in home currency": row.home_tax,
        }


def _of_kind(kind: str) -> Q:
    credit = Q(kind=Invoice.Kind.CREDIT)
    return {"invoices": ~credit, "credits": credit}.get(kind, Q())


def _in_state(state: str, on: date) -> Q:
    is_open = Q(unsettled__gt=NOTHING)
    return {
        "open": is_open,
        "overdue": is_open & Q(due_on__lt=on),
        "settled": Q(unsettled=NOTHING) & ~Q(kind=Invoice.Kind.CREDIT),
        "overpaid": Q(unsettled__lt=NOTHING),
    }.get(state, Q())


def _in_time(year: int | None, quarter: int | None) -> Q:
    if year is None:
        return Q()
    first, after = days_of(year, quarter)
    return Q(issued_on__gte=first, issued_on__lt=after)
