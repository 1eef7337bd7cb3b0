"""Traces: where a lot went, what a build contains, and the sheet for customs."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from inventory.base.pages import stock_trail
from inventory.models import Lot, Workshop
from inventory.paperwork.documents import customs_sheet
from inventory.shelf.pages import trail_of
from inventory.shelf.queries.traces import LOT_KEY, contents_of, holder_names, where_it_went


def went(request: HttpRequest, number: str) -> HttpResponse:
    """Everyone who holds something of a lot, however it got there."""
    lot = get_object_or_404(Lot.objects.select_related("material"), number=number)
    context = {"lot": lot, "rows": where_it_went(lot), "trail": trail_of(lot.material)}
    return render(request, "inventory/desk/went.html", context)


def contents(request: HttpRequest, holder: str) -> HttpResponse:
    """Everything that one holder drew and kept, with its papers; of made-up stock, its own page."""
    if holder.startswith(LOT_KEY):
        return redirect("piece", number=holder.removeprefix(LOT_KEY))
    rows = contents_of(holder)
    context = {"holder": holder, "name": _name(holder), "rows": rows, "trail": stock_trail()}
    return render(request, "inventory/desk/contents.html", context)


def customs_pdf(request: HttpRequest, holder: str) -> HttpResponse:
    """One sheet with every piece of an instrument and its papers."""
    rows = contents_of(holder)
    if not rows:
        raise Http404
    title = request.GET.get("name", "")[:120] or _name(holder)
    workshop = Workshop.objects.first()
    pdf = customs_sheet(title=title, rows=rows, workshop=workshop, on=timezone.localdate())
    answer = HttpResponse(pdf, content_type="application/pdf")
    answer["Content-Disposition"] = 'inline; filename="customs.pdf"'
    return answer


def _name(holder: str) -> str:
    return holder_names([holder]).get(holder, holder)
