"""Decline a quote: the client said no."""

from datetime import datetime

from django.db import transaction

from inventory.refusals import Refusal
from inventory.services.release_promises import release_promises
from quotes.locking import lock_quote
from quotes.models import Quote


@transaction.atomic
def decline_quote(*, quote: Quote, now: datetime, by: str = "", reason: str = "") -> Quote:
    """Mark an issued quote as declined and release what was held for it."""
    locked = lock_quote(quote)
    if locked.state != Quote.State.ISSUED:
        raise Refusal(f"{locked} is {locked.get_state_display()}; only an issued quote is open.")
    locked.state = Quote.State.DECLINED
    locked.decided_at = now
    locked.decided_by = by
    locked.decline_reason = reason
    locked.save(update_fields=["state", "decided_at", "decided_by", "decline_reason"])
    release_promises(holder=locked.holder, now=now)
    return locked
