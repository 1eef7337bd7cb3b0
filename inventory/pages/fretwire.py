"""Fretwire worked out from an instrument's fingerboard."""

from decimal import Decimal
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from inventory.calc.fretwire import frets_of, wire_length
from inventory.forms.fretwire import FingerboardForm
from inventory.models import KeptAs, Material
from inventory.pages.asking import stock_trail


def fretwire(request: HttpRequest) -> HttpResponse:
    """How much wire the frets take, and where each lies."""
    asked = request.GET if "scale" in request.GET else None
    form = FingerboardForm(asked)
    context: dict[str, Any] = {"form": form, "trail": stock_trail()}
    if asked is not None and form.is_valid():
        board = form.board()
        net = wire_length(board)
        extra = net * form.cleaned_data["extra"] / 100
        context |= {
            "frets": frets_of(board),
            "net": net,
            "extra": extra,
            "draw": (net + extra).quantize(Decimal(1)),
            "wires": Material.objects.filter(
                kept_as=KeptAs.LENGTH, is_archived=False, family__name__icontains="fret"
            ),
        }
    return render(request, "inventory/fretwire.html", context)
