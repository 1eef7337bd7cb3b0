"""Decline a quote: the client said no, or a draft came to nothing."""

from datetime import datetime

from django.db import transaction

from inventory.refusals import Refusal
from inventory.services.release_promises import release_promises
from quotes.locking import lock_quote
from quotes.models import Quote

OPEN = {Quote.State.DRAFT, Quote.State.ISSUED}


@transaction.atomic
def decline_quote(*, quote: Quote, now: datetime, by: str = "", reason: str = "") -> Quote:
    """Mark a draft or an issued quote as declined and release what was held for it."""
    locked = lock_quote(quote)
    if locked.state not in OPEN:
        raise Refusal(f"{locked} is {locked.get_state_display()} already.")
    locked.state = Quote.State.DECLINED
    locked.decided_at = now
    locked.decided_by = by
    locked.decline_reason, locked.held_until = reason, None
    locked.save(update_fields=["state", "decided_at", "decided_by", "decline_reason", "held_until"])
    release_promises(holder=locked.holder, now=now)
    return locked
