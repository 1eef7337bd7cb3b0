"""Draw, scrap, count, bring back, send back."""

from decimal import Decimal
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.utils import timezone

from inventory.base.pages import FormPage, handle_form, notify
from inventory.counting.services import count_stock
from inventory.ledger.refusals import quantity_in_words
from inventory.models import Lot, Material, StockEntry
from inventory.purchasing.services.deliveries import return_to_supplier
from inventory.shelf.forms.moves import CountForm, DrawForm, ReturnForm, ScrapForm, SendBackForm
from inventory.shelf.pages import page_of, trail_of
from inventory.shelf.queries.one_material import still_out
from inventory.shelf.services.moves import draw_stock, return_stock, scrap_stock


def draw(request: HttpRequest, pk: int) -> HttpResponse:
    """Take stock for a build, or for the shop itself."""
    row, lot = which(request, pk)
    form = DrawForm(request.POST or None, material=row, lot=lot, initial=_asked(request))

    def act(data: dict[str, Any]) -> str:
        entries = draw_stock(material=row, now=timezone.now(), user=request.user, **data)
        notify(request, f"Drawn: {quantity_in_words(data['quantity'], row)} of {row}.", entries)
        return page_of(row)

    asking = FormPage(
        heading=f"Draw {row}",
        lede=f"{quantity_in_words(row.on_hand, row)} on hand, "
        f"{quantity_in_words(row.free, row)} available.",
        do="Draw",
        back=page_of(row),
        trail=trail_of(row),
    )
    return handle_form(request, form, asking, act)


def scrap(request: HttpRequest, pk: int) -> HttpResponse:
    """Take stock off the shelf as lost."""
    row, lot = which(request, pk)
    form = ScrapForm(request.POST or None, material=row, lot=lot)

    def act(data: dict[str, Any]) -> str:
        entries = scrap_stock(material=row, now=timezone.now(), user=request.user, **data)
        notify(request, f"Scrapped: {quantity_in_words(data['quantity'], row)} of {row}.", entries)
        return page_of(row)

    asking = FormPage(
        heading=f"Scrap {row}",
        lede="Scrap stock from the shelf. To scrap what was drawn for a build, open the "
        "build's material.",
        do="Scrap",
        back=page_of(row),
        trail=trail_of(row),
    )
    return handle_form(request, form, asking, act)


def count(request: HttpRequest, pk: int) -> HttpResponse:
    """Say what is really there."""
    row, lot = which(request, pk)
    form = CountForm(request.POST or None, material=row, lot=lot)

    def act(data: dict[str, Any]) -> str:
        entries = count_stock(material=row, now=timezone.now(), user=request.user, **data)
        words = "The difference is posted." if entries else "No difference."
        notify(request, f"Counted {row}. {words}")
        return page_of(row)

    asking = FormPage(
        heading=f"Count {row}",
        lede=f"Recorded: {quantity_in_words(row.on_hand, row)}.",
        do="Count",
        back=page_of(row),
        trail=trail_of(row),
    )
    return handle_form(request, form, asking, act)


def bring_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Put what was drawn and not used back on the shelf."""
    entry = get_object_or_404(StockEntry.objects.select_related("material", "lot"), pk=pk)
    row = entry.material
    form = ReturnForm(request.POST or None, entry=entry, still_out=still_out(entry))

    def act(data: dict[str, Any]) -> str:
        back = return_stock(entry=entry, now=timezone.now(), user=request.user, **data)
        notify(request, f"Returned: {quantity_in_words(back.quantity, row)} of {row}.", [back])
        return page_of(row)

    asking = FormPage(heading=f"Return {row}", do="Return", back=page_of(row), trail=trail_of(row))
    return handle_form(request, form, asking, act)


def return_lot_to_supplier(request: HttpRequest, number: str) -> HttpResponse:
    """Send stock back to its supplier for a credit."""
    lot = get_object_or_404(Lot.objects.select_related("material"), number=number)
    form = SendBackForm(request.POST or None, lot=lot)

    def act(data: dict[str, Any]) -> str:
        entry = return_to_supplier(lot=lot, now=timezone.now(), user=request.user, **data)
        notify(request, _goes_back(lot, data["credit"]), [entry])
        return page_of(lot.material)

    asking = FormPage(
        heading=f"Send back {lot}",
        lede="Costs the supplier does not refund, such as carriage, are added to the rest of "
        "the delivery.",
        do="Send back",
        back=reverse("piece", args=[lot.number]),
        trail=trail_of(lot.material),
    )
    return handle_form(request, form, asking, act)


def _goes_back(lot: Lot, credit: Decimal) -> str:
    if lot.supplier:
        return f"{lot.number} sent back to {lot.supplier}."
    owed = " It has no supplier, so no credit is listed as due."
    return f"{lot.number} sent back.{(owed if credit else '')}"


def _asked(request: HttpRequest) -> dict[str, Any]:
    """Return a quantity in base units that the address brings along, as from the fretwire page."""
    typed = request.GET.get("quantity", "")
    return {"quantity": Decimal(typed)} if typed.isdigit() and len(typed) < 9 else {}


def which(request: HttpRequest, pk: int) -> tuple[Material, Lot | None]:
    """Return the material, and the lot of it that the address names, if any."""
    row = get_object_or_404(Material, pk=pk)
    return row, row.lots.filter(number=request.GET.get("lot", "")).first()
