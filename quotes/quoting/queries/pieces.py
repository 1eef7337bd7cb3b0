"""Which pieces a quote has for its material rows: held for it, named in it, or chosen just now."""

from collections.abc import Mapping, Sequence

from inventory.models import Lot, Promise
from inventory.reservations.queries import lacking_of
from quotes.models import Quote, QuoteMaterial

HeldPieces = Mapping[str, Sequence[Lot]]
"""Pieces by the key that a hold gives its lines."""
Chosen = Mapping[int, Lot | None]
"""A piece by the key of its material row; None leaves the row to the best one that is free."""


def held_for(quote: Quote, *, only_kept: bool = False) -> HeldPieces:
    """Return the pieces that are held for `quote`; with `only_kept` those that are still there."""
    promises = list(
        Promise.objects.filter(
            holder=quote.holder, outstanding__gt=0, lot__isnull=False
        ).select_related("lot__material", "lot__piece")
    )
    lacking = lacking_of(promises)
    held: dict[str, list[Lot]] = {}
    for promise in promises:
        if promise.lot and not (only_kept and lacking[promise.pk]):
            held.setdefault(promise.line, []).append(promise.lot)
    return held


def pieces_for(
    quote: Quote, row: QuoteMaterial, *, held: HeldPieces, chosen: Chosen
) -> Sequence[Lot]:
    """Return the pieces that `row` is to have, as far as anybody has said.

    What is chosen now comes first. A draft's own piece may have been named after the hold; once the
    quote is sent, what is held is the later word.
    """
    own, kept = row.lot, held.get(row.hold_key, ())
    if row.pk in chosen:
        own = chosen[row.pk]
        if own is None:
            return ()
    elif kept and quote.state != Quote.State.DRAFT:
        return kept
    return [own] if own and own not in kept else kept
