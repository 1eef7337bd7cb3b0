"""Choose the piece for a material row of a draft; a hold of the quote takes it over at once."""

from datetime import date, datetime

from django.db import transaction

from inventory.models import Lot
from quotes.locking import lock_draft
from quotes.models import Quote, QuoteMaterial
from quotes.services.change_rows import change_rows
from quotes.services.hold_stock import hold_stock


@transaction.atomic
def choose_piece(*, row: QuoteMaterial, lot: Lot | None, on: date, now: datetime) -> Quote:
    """Name `lot` in a row of a draft, or leave the row to the best one that is free.

    It may be of another material than the row's. While stock is held for the quote, it is put aside
    in place of the one before. Raises NotADraft, PieceNotFree when a quote on hold can't have it,
    and Refusal for what is no piece.
    """
    draft = lock_draft(row.quote)
    change_rows(quote=draft, materials={row.pk: {"lot": lot}})
    if draft.held_until and draft.held_until >= on:
        hold_stock(quote=draft, until=draft.held_until, on=on, now=now, chosen={row.pk: lot})
    return draft
