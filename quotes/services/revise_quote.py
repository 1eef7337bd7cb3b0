"""Revise a quote: the next version of what was sent, at today's prices."""

from datetime import date

from django.db import transaction
from django.db.models import Max

from inventory.refusals import Refusal
from quotes.locking import lock_quote
from quotes.models import Quote
from quotes.services.copy_quote import copy_quote

REVISABLE = {Quote.State.ISSUED, Quote.State.LAPSED, Quote.State.DECLINED}


@transaction.atomic
def revise_quote(*, quote: Quote, on: date) -> Quote:
    """Return a draft under the same number with the next version.

    The old version stays good until the new one is issued. Raises Refusal for what was never sent,
    for what was accepted, and while another revision is still a draft.
    """
    old = lock_quote(quote)
    if old.state not in REVISABLE:
        raise Refusal(
            f"{old} is {old.get_state_display()} and can't be revised. "
            "Change a draft as it is; after acceptance, agree a change."
        )
    if not old.number:
        raise Refusal(f"{old} was never sent. Copy it to take it up again.")
    versions = Quote.objects.filter(number=old.number)
    if versions.filter(state=Quote.State.DRAFT).exists():
        raise Refusal(f"{old.number} has a revision that is not issued yet. Change that one.")
    draft = copy_quote(quote=old, on=on)
    draft.number = old.number
    draft.version = versions.aggregate(last=Max("version"))["last"] + 1
    draft.save(update_fields=["number", "version"])
    return draft
