"""A year of the books, and its tables to take along."""

from datetime import MAXYEAR, MINYEAR, date

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from inventory.base.queries import home_currency
from inventory.base.tables import as_csv, as_xlsx
from quotes.year.calc.tables import year_tables
from quotes.year.calc.year import YearBooks
from quotes.year.pictures import money_by_month, net_by_group
from quotes.year.queries import year_books, years_in_the_books

XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"


def year(request: HttpRequest, year: int) -> HttpResponse:
    """Show a year: by month, by template, by kind of client, by tax."""
    books = _books(year)
    context = {
        "books": books,
        "years": years_in_the_books(timezone.localdate()),
        "months": [(date(year, row.month, 1), row) for row in books.months],
    }
    if any(row.invoiced > 0 or row.received > 0 for row in books.months):
        context["picture"] = money_by_month(books.months)
    if any(row.net > 0 for row in books.templates):
        context["templates_picture"] = net_by_group(books.templates)
    return render(request, "quotes/year/year.html", context)


def year_csv(request: HttpRequest, year: int, table: str) -> HttpResponse:
    """Send one table of a year as CSV."""
    tables = {one.name: one for one in year_tables(_books(year), home_currency())}
    if table not in tables:
        raise Http404
    return _file(as_csv(tables[table]), "text/csv; charset=utf-8", f"books-{year}-{table}.csv")


def year_xlsx(request: HttpRequest, year: int) -> HttpResponse:
    """Send all tables of a year as one XLSX file."""
    tables = year_tables(_books(year), home_currency())
    return _file(as_xlsx(tables), XLSX, f"books-{year}.xlsx")


def _books(year: int) -> YearBooks:
    if not MINYEAR < year < MAXYEAR:
        raise Http404
    return year_books(year)


def _file(content: bytes, kind: str, name: str) -> HttpResponse:
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return HttpResponse(content, content_type=kind, headers=headers)
