"""The stock list, and what waits for a count."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from inventory.models import Family
from inventory.shelf.queries.stock import (
    ONLY,
    lots_numbered,
    materials_named,
    materials_waiting,
    stock_list,
    waiting_entries,
)
from inventory.shelf.queries.traces import fill_holder_names, with_holder_names, with_promised_to

PAGE = 50


def stock(request: HttpRequest) -> HttpResponse:
    """Every material: on hand, promised, free, and what it stands at."""
    search = request.GET.get("q", "").strip()
    families = list(Family.objects.all())
    family = _chosen(families, request.GET.get("family", ""))
    only = request.GET.get("only", "")
    rows = stock_list(
        today=timezone.localdate(), search=search, family=family, only=only if only in ONLY else ""
    )
    context = {
        "page": Paginator(rows, PAGE).get_page(request.GET.get("page")),
        "search": search,
        "families": families,
        "family": family,
        "only": only,
        "only_choices": ONLY.items(),
        "waiting": materials_waiting(),
        "numbered": lots_numbered(search),
    }
    return render(request, "inventory/desk/stock.html", context)


def to_reconcile(request: HttpRequest) -> HttpResponse:
    """What was drawn beyond the books, or from somebody else's promise, until it is counted."""
    rows = with_promised_to(with_holder_names(waiting_entries()))
    rows = rows.select_related("material", "lot", "recorded_by")
    page = Paginator(rows, PAGE).get_page(request.GET.get("page"))
    fill_holder_names(page.object_list)
    return render(request, "inventory/desk/to_reconcile.html", {"page": page})


def material_names(request: HttpRequest) -> HttpResponse:
    """Suggestions for a field that takes a material's name."""
    typed = next(iter(request.GET.values()), "")
    names = materials_named(str(typed)).values_list("name", flat=True)
    return render(request, "inventory/desk/parts/names.html", {"names": names})


def _chosen(families: list[Family], key: str) -> Family | None:
    return next((family for family in families if str(family.pk) == key), None)
