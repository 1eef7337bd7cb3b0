"""The short lists that stock draws on: places, suppliers, families."""

from dataclasses import dataclass
from typing import Any

from django.db.models import Count, Model
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from inventory.base.pages import FormPage, handle_form, notify, stock_trail
from inventory.base.roles import BOOKKEEPER, MAKER, OWNER, allow_roles
from inventory.models import Family, Meter, Place, Species, Supplier
from inventory.shelf.forms.catalogue import FamilyForm, PlaceForm, SupplierForm
from inventory.wood.forms import MeterForm, MeterSpeciesSet, SpeciesForm
from inventory.wood.services import load_species


@dataclass(frozen=True, slots=True, kw_only=True)
class ShortList:
    """One such list: what its rows are and are for, the form that changes one, what they hold."""

    model: type[Model]
    form: Any
    one: str
    several: str
    use: str
    counted: str
    counted_words: str


LISTS = {
    "places": ShortList(
        model=Place,
        form=PlaceForm,
        one="place",
        several="Places",
        use="Name your shelves and racks. Count sheets and job cards then show where things are.",
        counted="lot",
        counted_words="Lots",
    ),
    "suppliers": ShortList(
        model=Supplier,
        form=SupplierForm,
        one="supplier",
        several="Suppliers",
        use="Add your suppliers. Each then gets its own purchase order.",
        counted="materials",
        counted_words="Materials",
    ),
    "families": ShortList(
        model=Family,
        form=FamilyForm,
        one="family",
        several="Families",
        use="Materials are grouped by family, such as tonewoods or hardware.",
        counted="materials",
        counted_words="Materials",
    ),
    "species": ShortList(
        model=Species,
        form=SpeciesForm,
        one="species",
        several="Species",
        use="Add the species below, or your own.",
        counted="materials",
        counted_words="Materials",
    ),
    "meters": ShortList(
        model=Meter,
        form=MeterForm,
        one="meter",
        several="Moisture meters",
        use="Add a meter with the figures from its data sheet. Its readings are then corrected.",
        counted="moisturereading",
        counted_words="Readings",
    ),
}


def short_list(request: HttpRequest, which: str) -> HttpResponse:
    """All rows of one list, and how much each holds."""
    kind = LISTS[which]
    rows = kind.model._default_manager.annotate(held=Count(kind.counted))
    context = {
        "kind": kind,
        "which": which,
        "rows": rows,
        "trail": stock_trail(),
        "lists": LISTS.items(),
    }
    return render(request, "inventory/desk/short_list.html", context)


@require_POST
def load(request: HttpRequest) -> HttpResponse:
    """Take in the species that come with the program."""
    notify(request, f"{load_species()} species added. Check their figures before you rely on them.")
    return redirect("short_list", which="species")


def edit_in_list(request: HttpRequest, which: str, pk: int | None = None) -> HttpResponse:
    """Add a row to a list, or change one."""
    kind = LISTS[which]
    row = get_object_or_404(kind.model, pk=pk) if pk else None
    form = kind.form(request.POST or None, instance=row)
    back = reverse("short_list", args=[which])

    def act(data: dict[str, Any]) -> str:
        notify(request, f"{form.save()} saved.")
        return back

    asking = FormPage(
        heading=f"Edit {row}" if row else f"New {kind.one}",
        back=back,
        trail=stock_trail((kind.several, back)),
    )
    return handle_form(request, form, asking, act)


def edit_meter(request: HttpRequest, which: str, pk: int | None = None) -> HttpResponse:
    """Add a meter, or change one, with what its sheet says of single species."""
    row = get_object_or_404(Meter, pk=pk) if pk else Meter()
    form = MeterForm(request.POST or None, instance=row)
    species = MeterSpeciesSet(request.POST or None, instance=row)
    back = reverse("short_list", args=[which])
    if form.is_valid() and species.is_valid():
        notify(request, f"{form.save()} saved.")
        species.save()
        return redirect(back)
    context = {
        "form": form,
        "species": species,
        "heading": f"Edit {row}" if pk else "New moisture meter",
        "back": back,
        "trail": stock_trail((LISTS[which].several, back)),
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "inventory/desk/meter.html", context, status=status)


@allow_roles(OWNER, MAKER, BOOKKEEPER)
def edit_supplier(request: HttpRequest, which: str, pk: int | None = None) -> HttpResponse:
    """Add a supplier, or change one: also for whoever books deliveries in."""
    return edit_in_list(request, which, pk)
