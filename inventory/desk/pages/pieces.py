"""The page of a piece or lot: what its label leads to."""

from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse

from inventory.base.calc.units import from_base, unit_word
from inventory.base.pages import FormPage, handle_form
from inventory.base.pictures import time_pictures
from inventory.base.wood_units import wood_units
from inventory.ledger.queries import ALONE, BOUND
from inventory.models import Lot, Piece
from inventory.shelf.forms.catalogue import LotForm, PieceForm
from inventory.shelf.pages import key_typed, trail_of
from inventory.shelf.queries.one_material import journal, open_promise_of
from inventory.shelf.queries.stock import lots_numbered
from inventory.shelf.queries.traces import other_halves, papers_of, sisters_of, split_of
from inventory.wood.queries import density_of, seasoning_of

_FULL = Lot.objects.select_related(
    "material__family",
    "material__species",
    "piece",
    "place",
    "supplier",
    "cut_from",
    "delivery_line__delivery",
)


def piece(request: HttpRequest, number: str) -> HttpResponse:
    """One piece or lot, found by its number however it is typed."""
    lot = _FULL.filter(number=number).first()
    if lot is None:
        return _near(number)
    own = lot.piece if lot.material.is_piece else None
    context = {
        "lot": lot,
        "material": lot.material,
        "piece": own,
        "promise": open_promise_of(lot),
        "density": density_of(own) if own else None,
        "journal": journal(
            material=lot.material, lot=lot, before=key_typed(request.GET.get("before"))
        ),
        "parts": list(lot.parts.select_related("material", "piece")),
        "split": split_of(own) if own else None,
        "halves": other_halves(own) if own else [],
        "sisters": sisters_of(own) if own else [],
        "photos": list(lot.photos.all()),
        "papers": papers_of(lot),
        **(_water(own) if own else {}),
        "alone": ALONE,
        "bound": BOUND,
        "trail": trail_of(lot.material),
    }
    return render(request, "inventory/desk/piece.html", context)


def _water(piece: Piece) -> dict[str, Any]:
    """Return what the page says of a piece's water, with the picture of its masses."""
    water = seasoning_of(piece)
    range_known = water.forecast.earliest and water.forecast.latest
    unit, final = wood_units().mass, water.forecast.final_grams
    band = (water.forecast.earliest, water.forecast.latest) if range_known else None
    pictures = time_pictures(
        [(weighing.on, from_base(weighing.grams, unit)) for weighing in water.weighings],
        unit=unit_word(unit),
        wide=470,
        band=band if not water.verdict.ready else None,
        level=None if final is None else from_base(final, unit),
    )
    return {"water": water, "pictures": pictures}


def edit_piece(request: HttpRequest, number: str) -> HttpResponse:
    """Change what is known of a piece."""
    lot = get_object_or_404(_FULL, number=number)
    if not lot.material.is_piece:
        raise Http404
    return _edit(request, lot, PieceForm(request.POST or None, instance=lot.piece))


def edit_lot(request: HttpRequest, number: str) -> HttpResponse:
    """Change where a lot lies, and its dates."""
    lot = get_object_or_404(_FULL, number=number)
    return _edit(request, lot, LotForm(request.POST or None, instance=lot))


def _edit(request: HttpRequest, lot: Lot, form: Any) -> HttpResponse:
    def act(data: dict[str, Any]) -> str:
        form.save()
        return address_of(lot)

    asking = FormPage(heading=f"Edit {lot}", back=address_of(lot), trail=trail_of(lot.material))
    return handle_form(request, form, asking, act)


def address_of(lot: Lot) -> str:
    """Return the address of a lot's page, which its label carries."""
    return reverse("piece", args=[lot.number])


def _near(number: str) -> HttpResponse:
    """Go to the one lot that `number` may mean, or to the list of several."""
    found = lots_numbered(number)
    if not found:
        raise Http404
    if len(found) == 1:
        return redirect(address_of(found[0]))
    return redirect(f"{reverse('stock')}?q={number}")
