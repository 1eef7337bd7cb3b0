"""Made-up stock: string sets, wiring kits, the shop's own parts."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from inventory.forms.recipes import MakeForm, NewRecipeForm, PartSet, parts_of
from inventory.models import Recipe
from inventory.pages.asking import Asking, ask, stock_trail, tell
from inventory.queries.acts import heads_of
from inventory.queries.recipes import recipes, replacement_cost, still_makeable
from inventory.refusals import Refusal
from inventory.services.draw_made_up import draw_made_up
from inventory.services.make_up import make_up
from inventory.services.write_recipe import write_recipe
from inventory.stock_refusals import in_words


def made_up(request: HttpRequest) -> HttpResponse:
    """Everything that is made up here, and how much of it still can be."""
    rows = [(row, still_makeable(row), replacement_cost(row)) for row in recipes()]
    return render(request, "inventory/made_up.html", {"rows": rows})


def new_recipe(request: HttpRequest) -> HttpResponse:
    """Say that a material is made up here."""
    form = NewRecipeForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        recipe = write_recipe(material=data["material"], parts=[])
        return reverse("recipe", args=[recipe.pk])

    asking = Asking(
        heading="Something made up here",
        lede="Add it as a material first, kept as a count.",
        do="Go on to its parts",
        back=reverse("made_up"),
        trail=stock_trail(),
    )
    return ask(request, form, asking, act, template="inventory/ask_material.html")


def recipe(request: HttpRequest, pk: int) -> HttpResponse:
    """What one is made up of."""
    row = get_object_or_404(recipes(), pk=pk)
    shown: dict[str, Any] = {"recipe": row, "trail": stock_trail(("Made up", reverse("made_up")))}
    if hasattr(row, "string_set"):
        return redirect("string_set", row.string_set.pk)
    if request.method != "POST":
        return _show(request, row, PartSet(initial=parts_of(row)), shown)
    parts = PartSet(request.POST)
    if not parts.is_valid():
        return _show(request, row, parts, shown, 422)
    try:
        write_recipe(material=row.material, parts=parts.parts())  # type: ignore[attr-defined]
    except Refusal as refusal:
        return _show(request, row, parts, {**shown, "refusal": refusal.sentence}, 409)
    return redirect("recipe", pk=pk)


def make(request: HttpRequest, pk: int) -> HttpResponse:
    """Make some up: on the shelf, or drawn straight from the parts."""
    row = get_object_or_404(recipes(), pk=pk)
    form = MakeForm(request.POST or None, material=row.material)

    def act(data: dict[str, Any]) -> str:
        words = in_words(data["quantity"], row.material)
        asked = {"recipe": row, "now": timezone.now(), "user": request.user, **data}
        if data["holder"]:
            entries = draw_made_up(**asked)
            tell(request, f"Drawn for {data['holder']}: the parts of {words}.", entries)
        else:
            del asked["holder"]
            lot = make_up(**asked)
            tell(request, f"{lot.number}: {words} made up.", heads_of([lot]))
        return reverse("material", args=[row.material_id])

    makeable = still_makeable(row)
    limits = f", limited by {', '.join(makeable.limited_by)}" if makeable.limited_by else ""
    asking = Asking(
        heading=f"Make up {row.material}",
        lede=f"The free parts make {makeable.count}{limits}.",
        do="Make them up",
        back=reverse("recipe", args=[pk]),
        trail=stock_trail(("Made up", reverse("made_up"))),
    )
    return ask(request, form, asking, act)


def _show(
    request: HttpRequest, row: Recipe, parts: Any, shown: dict[str, Any], status: int = 200
) -> HttpResponse:
    context = {
        **shown,
        "parts": parts,
        "makeable": still_makeable(row),
        "cost": replacement_cost(row),
    }
    return render(request, "inventory/recipe.html", context, status=status)
