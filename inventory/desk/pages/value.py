"""What the stock stands at on a day, what was sold of it, and both as tables to keep."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import Any

from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from inventory.base.pages import stock_trail
from inventory.base.queries import begin_of, end_of
from inventory.base.tables import TYPES, csv_parts, write_table
from inventory.desk.tables import journal_table, stock_table
from inventory.models import Family
from inventory.shelf.queries.value import (
    StockValue,
    by_family,
    sales_between,
    stock_as_of,
    stock_now,
)

ON_ONE_PAGE = 200
"""Up to so many materials stand in the table at once; of more, each family opens to its own."""
PAGE = 100


def value(request: HttpRequest) -> HttpResponse:
    """What the stock stands at, now or at the end of any past day, family by family."""
    on = _day(request.GET.get("on", ""))
    held = _held(on)
    context = {
        "on": on,
        "families": by_family(held),
        "is_whole": len(held) <= ON_ONE_PAGE or "whole" in request.GET,
        **_sums(held),
        **_sold(on or timezone.localdate()),
    }
    return render(request, "inventory/desk/value.html", context)


def family_value(request: HttpRequest, pk: int) -> HttpResponse:
    """What the materials of one family stand at: the rows that its sums are made from."""
    family = get_object_or_404(Family, pk=pk)
    on = _day(request.GET.get("on", ""))
    held = _held(on, family)
    context = {
        "on": on,
        "family": family,
        "page": Paginator(held, PAGE).get_page(request.GET.get("page")),
        "trail": stock_trail(("Value", _value_on(on))),
        **_sums(held),
    }
    return render(request, "inventory/desk/family_value.html", context)


def value_file(request: HttpRequest, kind: str) -> StreamingHttpResponse:
    """The same as a table to keep."""
    on = _day(request.GET.get("on", ""))
    rows = stock_table(_held(on))
    written = csv_parts(rows) if kind == "csv" else [write_table(rows, kind)]
    return _as_file(written, f"stock-{on or timezone.localdate()}", kind)


def journal_file(request: HttpRequest, kind: str) -> StreamingHttpResponse:
    """The journal up to the end of a day, or between two, as a table to keep."""
    first, last = _day(request.GET.get("from", "")), _day(request.GET.get("on", ""))
    rows = journal_table(begin_of(first) if first else None, end_of(last) if last else None)
    name = f"journal-to-{last or timezone.localdate()}"
    written = csv_parts(rows) if kind == "csv" else [write_table(rows, kind, "journal")]
    return _as_file(written, name, kind)


def _sold(on: date) -> dict[str, Any]:
    """Return what was sold in the year of `on` up to its end."""
    rows = sales_between(begin_of(on.replace(month=1, day=1)), end_of(on))
    return {
        "sold": rows,
        "year": on.year,
        "fetched": sum((row.sale.price for row in rows), Decimal(0)),
        "sold_cost": sum((row.cost for row in rows), Decimal(0)),
        "gain": sum((row.gain for row in rows), Decimal(0)),
    }


def _held(on: date | None, family: Family | None = None) -> list[StockValue]:
    return stock_now(family) if on is None else stock_as_of(end_of(on), family)


def _sums(held: list[StockValue]) -> dict[str, Decimal]:
    return {
        "cost": sum((row.cost for row in held), Decimal(0)),
        "value": sum((row.value for row in held), Decimal(0)),
        "replacement": sum((row.replacement or Decimal(0) for row in held), Decimal(0)),
    }


def _value_on(on: date | None) -> str:
    return reverse("stock_value", query={"on": on.isoformat()} if on else None)


def _day(typed: str) -> date | None:
    try:
        return date.fromisoformat(typed) if typed else None
    except ValueError:
        raise Http404 from None


def _as_file(parts: Iterable[bytes], name: str, kind: str) -> StreamingHttpResponse:
    answer = StreamingHttpResponse(parts, content_type=TYPES[kind])
    answer["Content-Disposition"] = f'attachment; filename="{name}.{kind}"'
    return answer
