"""What pages that propose pieces have in common: which one comes first, turned on the spot."""

from django.http import HttpRequest
from django.shortcuts import get_object_or_404

from inventory.base.refusals import Refusal
from inventory.models import Lot, TakeFirst
from shop.pieces.calc import First

MOST_SHOWN = 40
"""A page shows so many pieces of each sort: the best ones of a large shelf."""


def first_asked(request: HttpRequest) -> First | None:
    """Return which piece the address asks to come first, or None for the shop's own preference."""
    asked = request.GET.get("first", "")
    return asked if asked in TakeFirst.values else None  # type: ignore[return-value]


def piece_asked(request: HttpRequest) -> Lot | None:
    """Return the piece that was tapped as `lot` or typed as `number`, or None for none.

    Raises Refusal for a number that no piece has.
    """
    key, number = request.POST.get("lot", ""), request.POST.get("number", "").strip()
    pieces = Lot.objects.filter(piece__isnull=False).select_related("material")
    if number and not key:
        found = pieces.filter(number__iexact=number).first()
        if found is None:
            raise Refusal(
                f"There is no piece {number}. The number is on its label.", field="number"
            )
        return found
    return get_object_or_404(pieces, pk=key if key.isdecimal() else 0) if key else None


def first_tabs(current: First) -> list[tuple[str, str, bool]]:
    """Return the tabs that turn the order."""
    return [
        (str(word).capitalize(), f"?first={key}", key == current) for key, word in TakeFirst.choices
    ]
