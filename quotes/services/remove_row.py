"""Remove a row from a draft."""

from django.db import transaction

from quotes.locking import lock_draft
from quotes.models import QuoteExtra, QuoteFailure, QuoteMaterial, QuoteStage


@transaction.atomic
def remove_row(*, row: QuoteStage | QuoteMaterial | QuoteExtra | QuoteFailure) -> None:
    """Delete one row. Raises NotADraft once its quote was sent."""
    lock_draft(row.quote)
    row.delete()
