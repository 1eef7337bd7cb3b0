"""Let go of the stock that is held for a quote, before the hold ends by itself."""

from datetime import datetime

from django.db import transaction

from inventory.refusals import Refusal
from inventory.services.release_promises import release_promises
from quotes.locking import lock_quote
from quotes.models import Quote


@transaction.atomic
def release_hold(*, quote: Quote, now: datetime) -> Quote:
    """Return the quote without its hold. Raises Refusal when nothing is held for it."""
    locked = lock_quote(quote)
    if locked.held_until is None:
        raise Refusal(f"Nothing is held for {locked}.")
    release_promises(holder=locked.holder, now=now)
    locked.held_until = None
    locked.save(update_fields=["held_until"])
    return locked
