"""Wood and water: weighing, moisture, the pieces that season, the shop's rules."""

from collections.abc import Callable
from typing import Any

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.base.pages import FormPage, handle_form, notify, stock_trail
from inventory.base.queries import stock_rules
from inventory.base.refusals import Refusal
from inventory.models import Lot, MoistureReading, Weighing
from inventory.shelf.pages import trail_of
from inventory.wood.forms import MoistureForm, RulesForm, WeighForm
from inventory.wood.queries import seasoning_pieces
from inventory.wood.services import record_moisture, void_reading, void_weighing, weigh_piece

PAGE = 50


def seasoning(request: HttpRequest) -> HttpResponse:
    """Every piece that still settles, oldest first."""
    page = Paginator(seasoning_pieces(), PAGE).get_page(request.GET.get("page"))
    return render(request, "inventory/wood/seasoning.html", {"page": page})


def weigh(request: HttpRequest, number: str) -> HttpResponse:
    """Put a piece on the scale."""
    lot = get_object_or_404(Lot.objects.select_related("material"), number=number)
    form = WeighForm(request.POST or None, initial={"on": timezone.localdate()})

    def act(data: dict[str, Any]) -> str:
        notify(request, weigh_piece(lot=lot, **data).reason)
        return reverse("piece", args=[lot.number])

    return handle_form(request, form, _form_page(lot, "Weigh", "Weigh"), act)


def read_meter(request: HttpRequest, number: str) -> HttpResponse:
    """Note what a moisture meter says."""
    lot = get_object_or_404(Lot.objects.select_related("material"), number=number)
    last = MoistureReading.objects.exclude(meter=None).order_by("-pk").first()
    begins = {"on": timezone.localdate(), "meter": last.meter_id if last else None}
    form = MoistureForm(request.POST or None, initial=begins)

    def act(data: dict[str, Any]) -> str:
        reading = record_moisture(lot=lot, **data)
        notify(
            request,
            f"Reading {reading.raw.normalize():f} %, corrected to {reading.corrected:.1f} %.",
        )
        return reverse("piece", args=[lot.number])

    return handle_form(request, form, _form_page(lot, "New moisture reading of", "Save"), act)


@require_POST
def void_mass(request: HttpRequest, pk: int) -> HttpResponse:
    """Leave a weighing out that was noted by mistake."""
    row = get_object_or_404(Weighing.objects.select_related("lot"), pk=pk)
    return _crossed_out(request, row.lot, lambda: void_weighing(weighing=row))


@require_POST
def void_moisture(request: HttpRequest, pk: int) -> HttpResponse:
    """Leave a reading out that was noted by mistake."""
    row = get_object_or_404(MoistureReading.objects.select_related("lot"), pk=pk)
    return _crossed_out(request, row.lot, lambda: void_reading(reading=row))


def _crossed_out(request: HttpRequest, lot: Lot, act: Callable[[], Any]) -> HttpResponse:
    try:
        act()
        notify(request, "Voided. It stays in the list but no longer counts.")
    except Refusal as refusal:
        notify(request, refusal.sentence)
    return redirect("piece", number=lot.number)


def rules(request: HttpRequest) -> HttpResponse:
    """Change when wood is ready, what the saw takes, and how labels lie."""
    form = RulesForm(request.POST or None, instance=stock_rules())

    def act(data: dict[str, Any]) -> str:
        form.save()
        notify(request, "Settings saved.")
        return reverse("stock")

    asking = FormPage(heading="Stock settings", back=reverse("stock"), trail=stock_trail())
    return handle_form(request, form, asking, act)


def _form_page(lot: Lot, words: str, do: str) -> FormPage:
    return FormPage(
        heading=f"{words} {lot}",
        do=do,
        back=reverse("piece", args=[lot.number]),
        trail=trail_of(lot.material),
    )
