"""Pages that take a starter over: materials of the shop from its lines, figures as one's own."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.base.refusals import Refusal
from shop.models import BuildTemplate
from shop.patterns.queries import stockings_of
from shop.patterns.services.stocking import Stocked, make_materials, unmake_materials
from shop.patterns.services.templates import adopt_template


def template_stock(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what a template's lines would become on the shelf, and make it so."""
    row = get_object_or_404(BuildTemplate, pk=pk)
    if request.method == "POST":
        done = make_materials(template=row, on=timezone.localdate())
        messages.success(request, _told(done), extra_tags=_undo(row, done))
        return redirect("template", pk)
    found = stockings_of(row)
    context = {
        "template": row,
        "stockings": [one for one in found if not one.why_not],
        "left_out": [one for one in found if one.why_not],
    }
    return render(request, "shop/patterns/template_stock.html", context)


@require_POST
def template_unstock(request: HttpRequest, pk: int, lines: str, made: str) -> HttpResponse:
    """Undo what `template_stock` just did."""
    row = get_object_or_404(BuildTemplate, pk=pk)
    try:
        unmake_materials(template=row, lines=_keys(lines), made=_keys(made))
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    return redirect("template", pk)


@require_POST
def template_own(request: HttpRequest, pk: int) -> HttpResponse:
    """Mark a starter's figures as the maker's own."""
    adopt_template(template=get_object_or_404(BuildTemplate, pk=pk))
    return redirect("template", pk)


def _told(done: Stocked) -> str:
    used = f", {len(done.reused)} existing ones used" if done.reused else ""
    left = f" {len(done.left_out)} lines were not changed." if done.left_out else ""
    return f"{len(done.made)} materials created{used}. Their prices are not checked yet.{left}"


def _undo(template: BuildTemplate, done: Stocked) -> str:
    if not done.linked:
        return ""
    lines = "-".join(str(line.pk) for line in done.linked)
    made = "-".join(str(material.pk) for material in done.made) or "0"
    return reverse("template_unstock", args=[template.pk, lines, made])


def _keys(joined: str) -> list[int]:
    return [int(key) for key in joined.split("-") if key.isdigit() and len(key) < 19]
