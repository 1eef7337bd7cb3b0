"""Which piece for a material row: proposed beneath the row, and chosen with one tap."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.base.refusals import Refusal
from quotes.models import QuoteMaterial
from quotes.quoting.services.holds import choose_piece
from shop.pieces.pages import MOST_SHOWN, first_asked, first_tabs, piece_asked
from shop.pieces.queries import shelf_of, stand_ins


def pieces_of_row(request: HttpRequest, row: QuoteMaterial) -> dict[str, Any]:
    """Return what the page of a row says of the pieces that would do; nothing for other stock."""
    if row.material is None or not row.material.is_piece:
        return {}
    first, on = first_asked(request), timezone.localdate()
    shelf = shelf_of([row.material], on=on, holder=row.quote.holder)
    candidates = shelf.candidates(row.template_line, row.material, first=first)
    others = stand_ins(row.template_line, row.material, on=on, first=first, holder=row.quote.holder)
    return {
        "candidates": candidates,
        "material": row.material,
        "chosen": [row.lot],
        "stand_ins": others,
        "tabs": first_tabs(candidates.first),
        "most_shown": MOST_SHOWN,
    }


@require_POST
def quote_piece(request: HttpRequest, pk: int, row_pk: int) -> HttpResponse:
    """Choose a piece for a row, or leave it to the best one that is free."""
    row = get_object_or_404(QuoteMaterial.objects.select_related("quote"), pk=row_pk, quote=pk)
    now = timezone.now()
    try:
        lot = piece_asked(request)
        choose_piece(row=row, lot=lot, on=timezone.localdate(now), now=now)
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    else:
        told = f"{lot.number} is chosen" if lot else "The best one available will be used"
        messages.success(request, f"{told} for {row.name}.")
    return redirect("quote_row", pk, "material", row_pk)
