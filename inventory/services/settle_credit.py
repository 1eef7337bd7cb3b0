"""Note that a supplier's credit was paid or taken off an invoice."""

from datetime import date

from django.db import transaction

from inventory.models import Credit, Reason
from inventory.refusals import Refusal


@transaction.atomic
def settle_credit(*, credit: Credit, on: date, note: str = "") -> Credit:
    """Stamp the day on `credit`. Raises Refusal when it is settled, or its return was undone."""
    fresh = Credit.objects.select_for_update().get(pk=credit.pk)
    if fresh.settled_on:
        raise Refusal(
            f"This credit was settled on {fresh.settled_on.day} {fresh.settled_on:%B %Y}."
        )
    if fresh.entry.followed_by.filter(reason=Reason.CORRECTED).exists():
        raise Refusal("What was sent back was taken back again: no credit is due for it.")
    fresh.settled_on, fresh.note = on, note or fresh.note
    fresh.save(update_fields=["settled_on", "note"])
    return fresh
