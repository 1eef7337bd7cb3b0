"""Prices of a material: its history, breaks, and the level to buy more at."""

from datetime import date
from decimal import Decimal
from typing import Any

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.base.pages import notify
from inventory.base.pictures import time_pictures
from inventory.base.refusals import Refusal
from inventory.models import Material, PriceBreak, PriceKind, PriceNote
from inventory.purchasing.forms.buying import BreakForm
from inventory.purchasing.queries.advice import buying_advice
from inventory.purchasing.queries.deliveries import price_history
from inventory.shelf.pages import trail_of

PAGE = 50


def prices(request: HttpRequest, pk: int) -> HttpResponse:
    """What a material has cost, what it costs at once, and when to buy more."""
    row = get_object_or_404(Material.objects.select_related("supplier"), pk=pk)
    form = BreakForm(request.POST or None, material=row)
    if request.method == "POST" and form.is_valid():
        PriceBreak.objects.update_or_create(
            material=row,
            least=form.cleaned_data["least"],
            defaults={"price": form.cleaned_data["price"]},
        )
        return redirect("prices", pk=pk)
    notes = price_history(row)
    context = {
        "material": row,
        "form": form,
        "page": Paginator(notes[::-1], PAGE).get_page(request.GET.get("page")),
        "pictures": time_pictures(_bought_at(notes), unit="", wide=880),
        "breaks": list(row.price_breaks.all()),
        "trail": trail_of(row),
        **_advice(row),
    }
    status = 422 if request.method == "POST" else 200
    return render(request, "inventory/purchasing/prices.html", context, status=status)


@require_POST
def remove_break(request: HttpRequest, pk: int) -> HttpResponse:
    """Forget a price break."""
    row = get_object_or_404(PriceBreak, pk=pk)
    row.delete()
    return redirect("prices", pk=row.material_id)


@require_POST
def take_level(request: HttpRequest, pk: int) -> HttpResponse:
    """Take the advised level as the one to buy more at."""
    row = get_object_or_404(Material.objects.select_related("supplier"), pk=pk)
    try:
        row.reorder_level = buying_advice(row, timezone.localdate()).level
        row.save(update_fields=["reorder_level"])
        notify(request, f"{row} is listed under To buy once it falls below this level.")
    except Refusal as refusal:
        notify(request, refusal.sentence)
    return redirect(reverse("material", args=[row.pk]))


def _advice(row: Material) -> dict[str, Any]:
    try:
        return {"advice": buying_advice(row, timezone.localdate())}
    except Refusal as refusal:
        return {"no_advice": refusal.sentence}


def _bought_at(notes: list[PriceNote]) -> list[tuple[date, Decimal]]:
    """Return the prices of buying it, for their picture: not what it would fetch.

    What was paid for a delivery that was taken back was never paid.
    """
    return [
        (note.noted_on, note.price)
        for note in notes
        if note.price is not None and note.kind != PriceKind.REALISABLE and not note.is_taken_back  # type: ignore[attr-defined]
    ]
