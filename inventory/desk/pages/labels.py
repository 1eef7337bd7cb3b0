"""Labels: a sheet of several, or one."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from inventory.base.addresses import phone_address
from inventory.base.pages import stock_trail
from inventory.base.queries import stock_rules
from inventory.desk.documents import (
    MOST_LABELS,
    Label,
    label_of,
    label_sheet,
    numbered_lots,
    paper_now,
    sheet_now,
    single_label,
)
from inventory.models import Delivery, Lot, Material


def choose_labels(request: HttpRequest) -> HttpResponse:
    """Which labels to print, and how many places of the sheet are used up already."""
    material = _named(Material, request.GET.get("material", ""))
    delivery = _named(Delivery, request.GET.get("delivery", ""))
    rows = Lot.objects.filter(remaining__gt=0).select_related("material")
    rows = rows.filter(material=material) if material else rows
    rows = rows.filter(delivery_line__delivery=delivery) if delivery else rows
    context = {
        "delivery": delivery,
        "lots": rows.order_by("-received_on", "-pk")[:MOST_LABELS],
        "material": material,
        "rules": stock_rules(),
        "paper": paper_now(),
        "trail": stock_trail(),
    }
    return render(request, "inventory/desk/labels.html", context)


def _named(model: Any, key: str) -> Any:
    return get_object_or_404(model, pk=key) if key.isdigit() else None


def labels_pdf(request: HttpRequest) -> HttpResponse:
    """The chosen labels on A4 or Letter, in the maker's own grid."""
    numbers = request.GET.getlist("n")[:MOST_LABELS]
    lots = numbered_lots().filter(number__in=numbers)
    skip = request.GET.get("skip", "")
    if not lots:
        raise Http404
    labels = [_label(request, lot) for lot in lots]
    pdf = label_sheet(labels, sheet_now(), int(skip) if skip.isdigit() and len(skip) < 5 else 0)
    return _as_pdf(pdf, "labels")


def label_pdf(request: HttpRequest, number: str) -> HttpResponse:
    """One label on a page of its own size."""
    lot = get_object_or_404(numbered_lots(), number=number)
    return _as_pdf(single_label(_label(request, lot), sheet_now()), lot.number)


def label_code(request: HttpRequest, number: str) -> HttpResponse:
    """The scannable code alone, as SVG."""
    lot = get_object_or_404(numbered_lots(), number=number)
    code = _label(request, lot).code.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ')
    return HttpResponse(code, content_type="image/svg+xml")


def _label(request: HttpRequest, lot: Lot) -> Label:
    return label_of(lot, phone_address(request, reverse("bench_piece", args=[lot.number])))


def _as_pdf(pdf: bytes, name: str) -> HttpResponse:
    answer = HttpResponse(pdf, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return answer
