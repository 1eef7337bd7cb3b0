"""A material's page, and the forms that change what is known of it."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone

from inventory.base.pages import FormPage, handle_form, notify, stock_trail
from inventory.base.queries import price_is_old
from inventory.base.roles import BOOKKEEPER, MAKER, OWNER, allow_roles
from inventory.ledger.queries import ALONE, BOUND
from inventory.models import Material, Recipe
from inventory.purchasing.queries.orders import coming
from inventory.shelf.calc import pictogram_names
from inventory.shelf.forms.catalogue import MaterialPriceForm
from inventory.shelf.forms.materials import MaterialForm
from inventory.shelf.pages import key_typed, page_of, trail_of
from inventory.shelf.queries.one_material import journal, lots_of, promises_of
from inventory.shelf.services.records import record_price


def material(request: HttpRequest, pk: int) -> HttpResponse:
    """One material: lots, promises, journal."""
    row = get_object_or_404(Material.objects.select_related("family", "supplier", "species"), pk=pk)
    context = {
        "material": row,
        "lots": lots_of(row),
        "coming": coming(row),
        "promises": promises_of(row),
        "journal": journal(material=row, before=key_typed(request.GET.get("before"))),
        "price_is_old": price_is_old(row.replacement_checked_on, timezone.localdate()),
        "recipe": Recipe.objects.filter(material=row).first(),
        "hazards": pictogram_names(row.pictograms),
        "alone": ALONE,
        "bound": BOUND,
        "trail": stock_trail(),
        "waits": row.entries.filter(to_reconcile=True, reconciled_at=None).exists(),
    }
    return render(request, "inventory/desk/material.html", context)


def used_up(request: HttpRequest, pk: int) -> HttpResponse:
    """Lots of a material that are empty now."""
    row = get_object_or_404(Material, pk=pk)
    context = {"material": row, "lots": lots_of(row, used_up=True), "trail": trail_of(row)}
    return render(request, "inventory/desk/used_up.html", context)


def new_material(request: HttpRequest) -> HttpResponse:
    """Add a kind of thing to the stock."""
    form = MaterialForm(request.POST or None, request.FILES or None)

    def act(data: dict[str, Any]) -> str:
        return reverse("check_price", args=[form.save().pk])

    asking = FormPage(heading="New material", do="Save", back=reverse("stock"), trail=stock_trail())
    return handle_form(request, form, asking, act)


def edit_material(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what is known of a material."""
    row = get_object_or_404(Material, pk=pk)
    form = MaterialForm(request.POST or None, request.FILES or None, instance=row)

    def act(data: dict[str, Any]) -> str:
        form.save()
        return page_of(row)

    asking = FormPage(heading=f"Edit {row}", back=page_of(row), trail=trail_of(row))
    return handle_form(request, form, asking, act)


@allow_roles(OWNER, MAKER, BOOKKEEPER)
def check_price(request: HttpRequest, pk: int) -> HttpResponse:
    """Say what the next one costs, as asked today."""
    row = get_object_or_404(Material, pk=pk)
    form = MaterialPriceForm(
        request.POST or None,
        instance=row,
        initial={"replacement_checked_on": timezone.localdate()},
    )

    def act(data: dict[str, Any]) -> str:
        record_price(
            material=row,
            price=data["replacement_price"],
            on=data["replacement_checked_on"] or timezone.localdate(),
            realisable=data["realisable_price"],
        )
        notify(request, f"Price of {row} saved.")
        return page_of(row)

    asking = FormPage(
        heading=f"New price of {row}",
        lede=f"Per {row.unit_word or 'piece'}, landed. Issued quotes are not affected.",
        back=page_of(row),
        trail=trail_of(row),
    )
    return handle_form(request, form, asking, act)
