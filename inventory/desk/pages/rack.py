"""What happens to wood in the rack besides drawing it: sold, split into halves, found unfit."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone

from inventory.base.pages import FormPage, handle_form, notify
from inventory.desk.pages.moves import which
from inventory.ledger.queries import first_entries_of
from inventory.ledger.refusals import quantity_in_words
from inventory.models import Lot, PieceState
from inventory.shelf.forms.rack import JudgeForm, SellForm, SplitForm
from inventory.shelf.pages import page_of, trail_of
from inventory.shelf.services.rack import judge_piece, sell_stock, split_set


def sell(request: HttpRequest, pk: int) -> HttpResponse:
    """Sell stock as it is."""
    row, lot = which(request, pk)
    form = SellForm(request.POST or None, material=row, lot=lot)

    def act(data: dict[str, Any]) -> str:
        sale = sell_stock(material=row, now=timezone.now(), user=request.user, **data)
        words = f"Sold to {sale.to}: {quantity_in_words(data['quantity'], row)} of {row}."
        notify(request, words, [sale.entry])
        return page_of(row)

    asking = FormPage(
        heading=f"Sell {row}",
        lede="It leaves stock at cost, with the selling price on record. Make the invoice "
        "separately.",
        do="Sell",
        back=page_of(row),
        trail=trail_of(row),
    )
    return handle_form(request, form, asking, act)


def split(request: HttpRequest, number: str) -> HttpResponse:
    """Split a set into its parts."""
    lot = _piece(number)
    form = SplitForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        parts = split_set(lot=lot, now=timezone.now(), user=request.user, **data)
        numbers = ", ".join(part.number for part in parts)
        notify(
            request, f"Split: {numbers}. Write the numbers on the wood.", first_entries_of(parts)
        )
        return page_of(lot.material)

    asking = FormPage(
        heading=f"Split {lot}",
        lede="Each part gets its own number and its share of the cost. Reverse the split to "
        "join them again.",
        do="Split",
        back=reverse("piece", args=[lot.number]),
        trail=trail_of(lot.material),
    )
    return handle_form(request, form, asking, act)


def judge(request: HttpRequest, number: str) -> HttpResponse:
    """Say that a piece is not fit for what it was bought as."""
    lot = _piece(number)
    form = JudgeForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        entry = judge_piece(lot=lot, now=timezone.now(), user=request.user, **data)
        notify(request, f"{lot.number} is {PieceState(entry.reason).label}.", [entry])
        return reverse("piece", args=[lot.number])

    asking = FormPage(
        heading=f"Downgrade or reject {lot}",
        lede="It stays in stock at cost but can no longer be reserved. You can still cut it, "
        "sell it or send it back.",
        do="Save",
        back=reverse("piece", args=[lot.number]),
        trail=trail_of(lot.material),
    )
    return handle_form(request, form, asking, act)


def _piece(number: str) -> Lot:
    rows = Lot.objects.select_related("material", "piece").filter(piece__isnull=False)
    return get_object_or_404(rows, number=number)
