"""Labels: a sheet of several, or one."""

from typing import Any

from django.db.models import QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from inventory.base.addresses import phone_address
from inventory.base.documents import page_size
from inventory.base.pages import stock_trail
from inventory.base.queries import stock_rules
from inventory.base.wood_units import mass_words, size_words
from inventory.desk.documents import MOST_LABELS, Label, LabelSheet, label_sheet, single_label
from inventory.models import Delivery, Lot, Material, StockRules, Workshop


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
        "paper": _paper(),
        "trail": stock_trail(),
    }
    return render(request, "inventory/desk/labels.html", context)


def _named(model: Any, key: str) -> Any:
    return get_object_or_404(model, pk=key) if key.isdigit() else None


def labels_pdf(request: HttpRequest) -> HttpResponse:
    """The chosen labels on A4 or Letter, in the maker's own grid."""
    numbers = request.GET.getlist("n")[:MOST_LABELS]
    lots = _full().filter(number__in=numbers)
    skip = request.GET.get("skip", "")
    if not lots:
        raise Http404
    labels = [label_of(request, lot) for lot in lots]
    pdf = label_sheet(labels, _sheet(), int(skip) if skip.isdigit() and len(skip) < 5 else 0)
    return _as_pdf(pdf, "labels")


def label_pdf(request: HttpRequest, number: str) -> HttpResponse:
    """One label on a page of its own size."""
    lot = get_object_or_404(_full(), number=number)
    return _as_pdf(single_label(label_of(request, lot), _sheet()), lot.number)


def label_code(request: HttpRequest, number: str) -> HttpResponse:
    """The scannable code alone, as SVG."""
    lot = get_object_or_404(_full(), number=number)
    code = label_of(request, lot).code.replace("<svg ", '<svg xmlns="http://www.w3.org/2000/svg" ')
    return HttpResponse(code, content_type="image/svg+xml")


def label_of(request: HttpRequest, lot: Lot) -> Label:
    """Return what the label of `lot` says."""
    return Label(
        number=lot.number,
        words=lot.material.name,
        facts=_facts(lot),
        address=phone_address(request, reverse("bench_piece", args=[lot.number])),
    )


def _facts(lot: Lot) -> str:
    words = []
    if lot.material.is_piece:
        piece = lot.piece
        sizes = [piece.length_mm, piece.width_mm, piece.thickness_mm]
        words += [size_words(*sizes)] if all(sizes) else []
        words += [mass_words(piece.mass_g)] if piece.mass_g else []
        words += [piece.grade] if piece.grade else []
    if lot.expires_on:
        words.append(f"expires {lot.expires_on.day} {lot.expires_on:%b %Y}")
    words.append(f"received {lot.received_on.day} {lot.received_on:%b %Y}")
    return ", ".join(words)


def _full() -> QuerySet[Lot]:
    return Lot.objects.select_related("material", "piece").order_by("number")


def _sheet() -> LabelSheet:
    rules: StockRules = stock_rules()
    return LabelSheet(
        columns=rules.label_columns,
        rows=rules.label_rows,
        width=rules.label_width_mm,
        height=rules.label_height_mm,
        left=rules.label_left_mm,
        top=rules.label_top_mm,
        gap_across=rules.label_gap_across_mm,
        gap_down=rules.label_gap_down_mm,
        paper=_paper(),
    )


def _paper() -> str:
    shop = Workshop.objects.first()
    return page_size(shop.country if shop else "")


def _as_pdf(pdf: bytes, name: str) -> HttpResponse:
    answer = HttpResponse(pdf, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="{name}.pdf"'
    return answer
