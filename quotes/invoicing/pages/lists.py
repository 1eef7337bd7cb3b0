"""The list of invoices and credit notes, on a page and as a file."""

from decimal import Decimal
from typing import Any

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse, QueryDict, StreamingHttpResponse
from django.shortcuts import render
from django.utils import timezone

from inventory.base.queries import home_currency
from inventory.base.tables import TYPES, csv_parts, write_table
from quotes.invoicing.queries.invoice_list import (
    SORTS,
    InvoicesAsked,
    invoice_rows,
    invoices_asked_for,
    sums_of_invoices,
    years_invoiced,
)
from quotes.models import Client

PAGE = 50
KINDS = {"": "All", "invoices": "Invoices", "credits": "Credit notes"}
STATES = {
    "": "All",
    "open": "Open",
    "overdue": "Overdue",
    "settled": "Paid or credited",
    "overpaid": "Overpaid",
}
QUARTERS = {"": "Whole year", "1": "Jan to Mar", "2": "Apr to Jun", "3": "Jul to Sep"} | {
    "4": "Oct to Dec"
}
SORT_WORDS = {
    "newest": "Newest first",
    "oldest": "Oldest first",
    "number": "Number",
    "client": "Client",
    "due": "Due first",
    "gross": "Highest gross",
    "open": "Most open",
}


def invoices(request: HttpRequest) -> HttpResponse:
    """Show all invoices and credit notes that are asked for, with what they come to."""
    asked = _asked(request.GET)
    on = timezone.localdate()
    rows = invoices_asked_for(asked, on)
    sums = sums_of_invoices(rows)
    page = Paginator(rows, PAGE).get_page(request.GET.get("page"))
    query = request.GET.copy()
    query.pop("page", None)
    context = {
        "page": page,
        "rows": [(row, row.due_on < on and row.open_amount > 0) for row in page],
        "asked": asked,
        "sums": sums,
        "is_foreign": any(one.currency != home_currency() for one in sums),
        "home_net": sum((one.home_net for one in sums), Decimal(0)),
        "home_tax": sum((one.home_tax for one in sums), Decimal(0)),
        "choices": _choices(asked),
        "is_filtered": any(query.values()),
        "query": query.urlencode(),
    }
    return render(request, "quotes/invoicing/invoices.html", context)


def invoices_file(request: HttpRequest, kind: str) -> StreamingHttpResponse:
    """Send what is asked for as a table to keep, in the order of the list."""
    rows = invoice_rows(invoices_asked_for(_asked(request.GET), timezone.localdate()))
    parts = csv_parts(rows) if kind == "csv" else [write_table(rows, kind, "invoices")]
    answer = StreamingHttpResponse(parts, content_type=TYPES[kind])
    answer["Content-Disposition"] = f'attachment; filename="invoices-{timezone.localdate()}.{kind}"'
    return answer


def _asked(query: QueryDict) -> InvoicesAsked:
    """Read what is asked for; what makes no sense leaves nothing out."""
    year = _number(query.get("year", ""), 1, 9998)
    return InvoicesAsked(
        search=query.get("q", "").strip(),
        kind=_one_of(query.get("kind", ""), KINDS),
        state=_one_of(query.get("state", ""), STATES),
        client=_number(query.get("client", ""), 1, 2**62),
        year=year,
        quarter=_number(query.get("quarter", ""), 1, 4) if year else None,
        sort=_one_of(query.get("sort", ""), SORTS) or "newest",
    )


def _number(typed: str, least: int, most: int) -> int | None:
    if not (typed.isascii() and typed.isdigit()) or len(typed) > 19:
        return None
    return int(typed) if least <= int(typed) <= most else None


def _one_of(typed: str, known: dict[str, Any]) -> str:
    return typed if typed in known else ""


def _choices(asked: InvoicesAsked) -> list[tuple[str, str, str, list[tuple[str, str]]]]:
    """Return each choice above the list: its name, its label, what is chosen, what there is."""
    clients = Client.objects.filter(commissions__invoices__isnull=False).distinct()
    named = [(f"{pk}", name) for pk, name in clients.order_by("name").values_list("pk", "name")]
    years = [(f"{year}", f"{year}") for year in years_invoiced()]
    return [
        ("kind", "Kind", asked.kind, [*KINDS.items()]),
        ("state", "Status", asked.state, [*STATES.items()]),
        ("client", "Client", f"{asked.client or ''}", [("", "All"), *named]),
        ("year", "Year", f"{asked.year or ''}", [("", "All"), *years]),
        ("quarter", "Quarter", f"{asked.quarter or ''}", [*QUARTERS.items()]),
        ("sort", "Sort", asked.sort, [*SORT_WORDS.items()]),
    ]
