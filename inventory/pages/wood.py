"""Wood and water: weighing, moisture, the pieces that season, the shop's rules."""

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.forms.wood import MoistureForm, RulesForm, WeighForm
from inventory.models import Lot, MoistureReading, Weighing
from inventory.pages.asking import Asking, ask, stock_trail, tell
from inventory.pages.materials import trail_of
from inventory.queries.seasoning import seasoning_pieces
from inventory.queries.wood import stock_rules
from inventory.refusals import Refusal
from inventory.services.cross_out_reading import cross_out_reading
from inventory.services.cross_out_weighing import cross_out_weighing
from inventory.services.read_moisture import read_moisture
from inventory.services.weigh_piece import weigh_piece


def seasoning(request: HttpRequest) -> HttpResponse:
    """Every piece that still settles, oldest first."""
    return render(request, "inventory/seasoning.html", {"lots": seasoning_pieces()})


def weigh(request: HttpRequest, number: str) -> HttpResponse:
    """Put a piece on the scale."""
    lot = get_object_or_404(Lot.objects.select_related("material"), number=number)
    form = WeighForm(request.POST or None, initial={"on": timezone.localdate()})

    def act(data: dict[str, Any]) -> str:
        tell(request, weigh_piece(lot=lot, **data).reason)
        return reverse("piece", args=[lot.number])

    return ask(request, form, _asking(lot, "Weigh", "Note the mass"), act)


def read_meter(request: HttpRequest, number: str) -> HttpResponse:
    """Note what a moisture meter says."""
    lot = get_object_or_404(Lot.objects.select_related("material"), number=number)
    last = MoistureReading.objects.exclude(meter=None).order_by("-pk").first()
    begins = {"on": timezone.localdate(), "meter": last.meter_id if last else None}
    form = MoistureForm(request.POST or None, initial=begins)

    def act(data: dict[str, Any]) -> str:
        reading = read_moisture(lot=lot, **data)
        tell(request, f"Raw {reading.raw.normalize():f} %, noted as {reading.corrected:.1f} %.")
        return reverse("piece", args=[lot.number])

    return ask(request, form, _asking(lot, "Moisture of", "Note the reading"), act)


@require_POST
def cross_out_mass(request: HttpRequest, pk: int) -> HttpResponse:
    """Leave a weighing out that was noted by mistake."""
    row = get_object_or_404(Weighing.objects.select_related("lot"), pk=pk)
    return _crossed_out(request, row.lot, lambda: cross_out_weighing(weighing=row))


@require_POST
def cross_out_moisture(request: HttpRequest, pk: int) -> HttpResponse:
    """Leave a reading out that was noted by mistake."""
    row = get_object_or_404(MoistureReading.objects.select_related("lot"), pk=pk)
    return _crossed_out(request, row.lot, lambda: cross_out_reading(reading=row))


def _crossed_out(request: HttpRequest, lot: Lot, act: Callable[[], Any]) -> HttpResponse:
    try:
        act()
        tell(request, "Crossed out: it is kept in sight and counts no more.")
    except Refusal as refusal:
        tell(request, refusal.sentence)
    return redirect("piece", number=lot.number)


def rules(request: HttpRequest) -> HttpResponse:
    """Change when wood is ready, what the saw takes, and how labels lie."""
    form = RulesForm(request.POST or None, instance=stock_rules())

    def act(data: dict[str, Any]) -> str:
        form.save()
        tell(request, "The rules hold from now on.")
        return reverse("stock")

    asking = Asking(heading="Rules of the stock", back=reverse("stock"), trail=stock_trail())
    return ask(request, form, asking, act)


def _asking(lot: Lot, words: str, do: str) -> Asking:
    return Asking(
        heading=f"{words} {lot}",
        do=do,
        back=reverse("piece", args=[lot.number]),
        trail=trail_of(lot.material),
    )
