"""Put a row back that was just taken out of a draft, with what went along with it."""

from django.core import serializers
from django.db import transaction

from inventory.refusals import Refusal
from quotes.locking import lock_draft
from quotes.models import Quote, QuoteFailure
from quotes.taken_rows import TakenRow


@transaction.atomic
def put_back_row(*, quote: Quote, taken: TakenRow) -> None:
    """Write the row as it was, at its place.

    Raises NotADraft, and Refusal where it is back already.
    """
    draft = lock_draft(quote)
    rows = list(serializers.deserialize("json", taken.rows))
    first = rows[0].object
    if taken.quote != draft.pk:
        raise Refusal("This row is not of this quote.")
    if type(first)._default_manager.filter(pk=first.pk).exists():
        raise Refusal(f"{first} is back already.")
    for row in rows:
        row.save()
    failures = QuoteFailure.objects.filter(quote=draft)
    failures.filter(pk__in=taken.redone_from).update(redo_from=first.pk)
    for failure in failures.filter(pk__in=taken.lost_in):
        failure.lost.add(first.pk)
