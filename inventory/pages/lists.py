"""The short lists that stock draws on: places, suppliers, families."""

from dataclasses import dataclass
from typing import Any

from django.db.models import Count, Model
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse

from inventory.forms.catalogue import FamilyForm, PlaceForm, SupplierForm
from inventory.models import Family, Place, Supplier
from inventory.pages.asking import Asking, ask, stock_trail, tell
from inventory.roles import BOOKKEEPER, MAKER, OWNER, allow_roles


@dataclass(frozen=True, slots=True, kw_only=True)
class ShortList:
    """One such list: what its rows are, the form that changes one, and what they hold."""

    model: type[Model]
    form: Any
    one: str
    several: str
    counted: str
    counted_words: str


LISTS = {
    "places": ShortList(
        model=Place,
        form=PlaceForm,
        one="place",
        several="Places",
        counted="lot",
        counted_words="Lots",
    ),
    "suppliers": ShortList(
        model=Supplier,
        form=SupplierForm,
        one="supplier",
        several="Suppliers",
        counted="materials",
        counted_words="Materials",
    ),
    "families": ShortList(
        model=Family,
        form=FamilyForm,
        one="family",
        several="Families",
        counted="materials",
        counted_words="Materials",
    ),
}


def short_list(request: HttpRequest, which: str) -> HttpResponse:
    """All rows of one list, and how much each holds."""
    kind = LISTS[which]
    rows = kind.model._default_manager.annotate(held=Count(kind.counted))
    context = {"kind": kind, "which": which, "rows": rows, "trail": stock_trail()}
    return render(request, "inventory/short_list.html", context)


@allow_roles(OWNER, MAKER, BOOKKEEPER)
def edit_in_list(request: HttpRequest, which: str, pk: int | None = None) -> HttpResponse:
    """Add a row to a list, or change one."""
    kind = LISTS[which]
    row = get_object_or_404(kind.model, pk=pk) if pk else None
    form = kind.form(request.POST or None, instance=row)
    back = reverse("short_list", args=[which])

    def act(data: dict[str, Any]) -> str:
        tell(request, f"{form.save()} is in the list.")
        return back

    asking = Asking(
        heading=f"Change {row}" if row else f"New {kind.one}",
        back=back,
        trail=stock_trail((kind.several, back)),
    )
    return ask(request, form, asking, act)
