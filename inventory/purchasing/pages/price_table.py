"""The prices of many materials on one page, with a preview of what changes."""

from dataclasses import replace
from typing import Any

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone

from inventory.base.pages import notify, stock_trail
from inventory.base.refusals import Refusal
from inventory.base.roles import BOOKKEEPER, MAKER, OWNER, allow_roles
from inventory.purchasing.forms.price_table import (
    PriceLineForm,
    PriceTableForm,
    packed,
    typed_materials,
    unpacked,
)
from inventory.purchasing.queries.price_table import ReadPrices, priced_materials
from inventory.shelf.services.records import record_prices

PAGE = 50


@allow_roles(OWNER, MAKER, BOOKKEEPER)
def price_table(request: HttpRequest) -> HttpResponse:
    """Replacement prices and realisable values, edited together; saved after a preview."""
    today = timezone.localdate()
    search, only = request.GET.get("q", "").strip(), request.GET.get("only", "")
    rows = priced_materials(today=today, search=search, only=only)
    page = Paginator(rows, PAGE).get_page(request.GET.get("page"))
    sent = request.POST if request.method == "POST" else None
    is_saving = sent is not None and "save" in sent
    form = PriceTableForm(sent, request.FILES or None, today=today)
    # The preview sends no lines; and what was typed belongs to the rows that were shown then.
    typed = None if is_saving else sent
    lines = [
        PriceLineForm(typed, material) for material in (typed_materials(typed) if typed else page)
    ]
    shown: dict[str, Any] = {
        "form": form,
        "lines": lines,
        "page": page,
        "search": search,
        "only": only,
        "today": today,
        "trail": stock_trail(),
    }
    status = 200
    if sent is not None:
        try:
            if not is_saving:
                status = _look(form, lines, shown)
            elif form.is_valid():
                return _save(request, form)
            else:
                status = 422
        except Refusal as refusal:
            shown["refusal"], status = refusal.sentence, 409
    return render(request, "inventory/purchasing/price_table.html", shown, status=status)


def _look(form: PriceTableForm, lines: list[PriceLineForm], shown: dict[str, Any]) -> int:
    """Put the preview into what is shown; return the status."""
    wrong = [line for line in lines if not line.is_valid()]
    if wrong or not form.is_valid():
        return 422
    typed = [change for line in lines if (change := line.change())]
    read = form.read()
    elsewhere = {change.material.pk for change in read.changes}
    mine = tuple(change for change in typed if change.material.pk not in elsewhere)
    read = ReadPrices(changes=(*mine, *read.changes), problems=read.problems)
    if not read.changes and not read.problems:
        raise Refusal("Nothing changes: type a price, tick what still holds, or paste rows.")
    shown |= {"read": read, "rows": packed(read.changes), "on": form.cleaned_data["on"]}
    return 200


def _save(request: HttpRequest, form: PriceTableForm) -> HttpResponse:
    asked = [
        replace(change.to_save(), seen=seen)
        for change, seen in unpacked(request.POST.get("rows", ""))
    ]
    count = record_prices(prices=asked, on=form.cleaned_data["on"])
    notify(request, f"Prices of {count} material{'s' if count != 1 else ''} saved.")
    return redirect("price_table")
