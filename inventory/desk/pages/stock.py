"""The stock list, and what waits for a count."""

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.base.lists import PART, asks_for_file, in_order, list_file, listing
from inventory.base.pages import notify
from inventory.base.refusals import Refusal
from inventory.desk.tables import STOCK_COLUMNS
from inventory.models import Family
from inventory.shelf.forms.materials import ManyMaterialsForm
from inventory.shelf.queries.stock import (
    ONLY,
    lots_numbered,
    materials_named,
    materials_waiting,
    stock_list,
    waiting_entries,
)
from inventory.shelf.queries.traces import fill_holder_names, with_holder_names, with_promised_to
from inventory.shelf.services.records import edit_materials

PAGE = 50


def stock(request: HttpRequest) -> HttpResponse | StreamingHttpResponse:
    """Every material: on hand, promised, free, and what it stands at."""
    search = request.GET.get("q", "").strip()
    families = list(Family.objects.all())
    family = _chosen(families, request.GET.get("family", ""))
    only = request.GET.get("only", "")
    rows = stock_list(
        today=timezone.localdate(), search=search, family=family, only=only if only in ONLY else ""
    )
    if asks_for_file(request):
        told = in_order(request, rows, STOCK_COLUMNS).iterator(chunk_size=PART)
        return list_file("stock", told, STOCK_COLUMNS, timezone.localdate())
    context = {
        "list": listing(request, rows, STOCK_COLUMNS),
        "search": search,
        "families": families,
        "family": family,
        "only": only,
        "only_choices": ONLY.items(),
        "waiting": materials_waiting(),
        "numbered": lots_numbered(search),
        "today": timezone.localdate(),
        "many": ManyMaterialsForm(auto_id="many_%s", families=families),
    }
    return render(request, "inventory/desk/stock.html", context)


@require_POST
def edit_many(request: HttpRequest) -> HttpResponse:
    """Give every ticked material of the list the same supplier, family, place or way of keeping."""
    form = ManyMaterialsForm(request.POST)
    back = f"{reverse('stock')}?{request.GET.urlencode()}"
    if not form.is_valid():
        wrong = ", ".join(str(form[name].label) for name in form.errors)
        messages.error(request, f"Not saved. No longer to be had, or not in the list: {wrong}.")
        return redirect(back)
    asked = form.cleaned_data
    materials = list(asked.pop("ticked"))
    try:
        count = edit_materials(materials=materials, **asked)
        notify(request, f"{count} material{'s' if count != 1 else ''} saved.")
    except Refusal as refusal:
        messages.error(request, f"Not saved. {refusal.sentence}")
    return redirect(back)


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
