"""The page of a year end, its paper and its tables."""

from datetime import MAXYEAR, MINYEAR
from decimal import Decimal
from typing import Any

from django import forms
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from inventory.base.forms import AmountField
from inventory.base.queries import home_currency
from inventory.base.tables import XLSX, as_xlsx
from inventory.models import Workshop
from quotes.year_end.calc import YearEnd
from quotes.year_end.documents import summary, year_end_pdf, year_end_tables
from quotes.year_end.queries import year_end


class LabourForm(forms.Form):
    """What an hour costs."""

    labour = AmountField(
        label="Labour at cost, per hour",
        required=False,
        help_text="Empty: without labour. What an hour costs the workshop, such as a wage with its "
        "charges, not what it sells for (IAS 2, paragraph 12). Ask your accountant whether your "
        "own hours count.",
    )


def year_end_page(request: HttpRequest, year: int) -> HttpResponse:
    """Show stock, work in progress and what is owed as of a 31 December."""
    _check(year)
    form = LabourForm(request.GET or None)
    rate = form.cleaned_data["labour"] if form.is_valid() else None
    end = year_end(year, rate)
    context = {
        "end": end,
        "summary": summary(end),
        "form": form,
        "query": f"?labour={rate:f}" if rate is not None else "",
        "is_to_come": year >= timezone.localdate().year,
    }
    status = 422 if form.errors else 200
    return render(request, "quotes/year_end/year_end.html", context, status=status)


def year_end_sheet(request: HttpRequest, year: int) -> HttpResponse:
    """Send the sheet as PDF."""
    printed = year_end_pdf(_asked(request, year), Workshop.objects.get())
    return _file(printed, "application/pdf", f"year-end-{year}.pdf", "inline")


def year_end_file(request: HttpRequest, year: int) -> HttpResponse:
    """Send the sheet as XLSX, a table on each of its sheets."""
    tables = year_end_tables(_asked(request, year), home_currency())
    return _file(as_xlsx(tables), XLSX, f"year-end-{year}.xlsx", "attachment")


def _asked(request: HttpRequest, year: int) -> YearEnd:
    _check(year)
    form = LabourForm(request.GET)
    rate: Any = form.cleaned_data["labour"] if form.is_valid() else None
    return year_end(year, rate if isinstance(rate, Decimal) else None)


def _check(year: int) -> None:
    if not MINYEAR < year < MAXYEAR:
        raise Http404


def _file(content: bytes, kind: str, name: str, how: str) -> HttpResponse:
    headers = {"Content-Disposition": f'{how}; filename="{name}"'}
    return HttpResponse(content, content_type=kind, headers=headers)
