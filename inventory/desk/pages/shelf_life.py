"""Packs: opened, expiring, written off."""

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.base.calc.days import day_words
from inventory.base.pages import notify
from inventory.base.refusals import Refusal
from inventory.models import Lot
from inventory.shelf.queries.stock import expiring, openable
from inventory.shelf.services.moves import expire_lot, open_pack

PAGE = 50


def shelf_life(request: HttpRequest) -> HttpResponse:
    """What expires soon or has, and packs that keep only so long once opened."""
    today = timezone.localdate()
    page = Paginator(expiring(today), PAGE).get_page(request.GET.get("page"))
    packs = openable()
    context = {"page": page, "openable": packs[:PAGE], "packs": len(packs), "today": today}
    return render(request, "inventory/desk/shelf_life.html", context)


@require_POST
def open_lot(request: HttpRequest, number: str) -> HttpResponse:
    """Note that a pack was opened today."""
    lot = get_object_or_404(Lot, number=number)
    try:
        opened = open_pack(lot=lot, on=timezone.localdate())
        until = f" It expires on {day_words(opened.expires_on)}." if opened.expires_on else ""
        notify(request, f"{lot.number} marked as opened.{until}")
    except Refusal as refusal:
        notify(request, refusal.sentence)
    return redirect("piece", number=number)


@require_POST
def write_off(request: HttpRequest, number: str) -> HttpResponse:
    """Take what has expired to nil."""
    lot = get_object_or_404(Lot.objects.select_related("material"), number=number)
    try:
        entries = expire_lot(lot=lot, now=timezone.now(), user=request.user)
        notify(request, f"{lot.number} written off.", entries)
    except Refusal as refusal:
        notify(request, refusal.sentence)
    return redirect("shelf_life")
