"""Made-up stock: string sets, wiring kits, the shop's own parts."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from inventory.base.pages import FormPage, handle_form, notify, stock_trail
from inventory.base.refusals import Refusal
from inventory.kits.forms import MakeForm, NewRecipeForm, PartSet, part_rows
from inventory.kits.queries import parts_replacement_cost, recipes, still_makeable
from inventory.kits.services import draw_kit, make_kit, save_recipe
from inventory.ledger.queries import first_entries_of
from inventory.ledger.refusals import quantity_in_words
from inventory.models import Recipe


def made_up(request: HttpRequest) -> HttpResponse:
    """Everything that is made up here, and how much of it still can be."""
    rows = [(row, still_makeable(row), parts_replacement_cost(row)) for row in recipes()]
    return render(request, "inventory/kits/made_up.html", {"rows": rows})


def new_recipe(request: HttpRequest) -> HttpResponse:
    """Say that a material is made up here."""
    form = NewRecipeForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        recipe = save_recipe(material=data["material"], parts=[])
        return reverse("recipe", args=[recipe.pk])

    asking = FormPage(
        heading="New kit",
        lede="Add the kit as a material first, kept as a count.",
        do="Continue",
        back=reverse("made_up"),
        trail=stock_trail(),
    )
    return handle_form(request, form, asking, act)


def recipe(request: HttpRequest, pk: int) -> HttpResponse:
    """What one is made up of."""
    row = get_object_or_404(recipes(), pk=pk)
    shown: dict[str, Any] = {"recipe": row, "trail": stock_trail(("Kits", reverse("made_up")))}
    if hasattr(row, "string_set"):
        return redirect("string_set", row.string_set.pk)
    if request.method != "POST":
        return _show(request, row, PartSet(initial=part_rows(row)), shown)
    parts = PartSet(request.POST)
    if not parts.is_valid():
        return _show(request, row, parts, shown, 422)
    try:
        save_recipe(material=row.material, parts=parts.parts())  # type: ignore[attr-defined]
    except Refusal as refusal:
        return _show(request, row, parts, {**shown, "refusal": refusal.sentence}, 409)
    return redirect("recipe", pk=pk)


def make(request: HttpRequest, pk: int) -> HttpResponse:
    """Make some up: on the shelf, or drawn straight from the parts."""
    row = get_object_or_404(recipes(), pk=pk)
    form = MakeForm(request.POST or None, material=row.material)

    def act(data: dict[str, Any]) -> str:
        words = quantity_in_words(data["quantity"], row.material)
        asked = {"recipe": row, "now": timezone.now(), "user": request.user, **data}
        if data["holder"]:
            entries = draw_kit(**asked)
            notify(request, f"Drawn for {data['holder']}: the parts of {words}.", entries)
        else:
            del asked["holder"]
            lot = make_kit(**asked)
            notify(request, f"{lot.number}: {words} made.", first_entries_of([lot]))
        return reverse("material", args=[row.material_id])

    makeable = still_makeable(row)
    limits = f", limited by {', '.join(makeable.limited_by)}" if makeable.limited_by else ""
    asking = FormPage(
        heading=f"Make {row.material}",
        lede=f"The available parts make {makeable.count}{limits}.",
        do="Make",
        back=reverse("recipe", args=[pk]),
        trail=stock_trail(("Kits", reverse("made_up"))),
    )
    return handle_form(request, form, asking, act)


def _show(
    request: HttpRequest, row: Recipe, parts: Any, shown: dict[str, Any], status: int = 200
) -> HttpResponse:
    context = {
        **shown,
        "parts": parts,
        "makeable": still_makeable(row),
        "cost": parts_replacement_cost(row),
    }
    return render(request, "inventory/kits/recipe.html", context, status=status)
