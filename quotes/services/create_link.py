"""Create a link at which a client reads a quote that was sent."""

import secrets
from dataclasses import dataclass
from datetime import date, datetime

from django.db import transaction

from inventory.refusals import Refusal
from quotes.calc.link_secret import SECRET_BYTES, hash_secret
from quotes.locking import lock_quote
from quotes.models import ClientLink, Quote


@dataclass(frozen=True, slots=True, kw_only=True)
class NewLink:
    """A link and its secret, which is told this once and can't be read again."""

    link: ClientLink
    secret: str


@transaction.atomic
def create_link(*, quote: Quote, expires_on: date, on: date, now: datetime) -> NewLink:
    """Return a new link that opens up to `expires_on`, that day included.

    Raises Refusal for a quote that is not open, and for a day that is over.
    """
    locked = lock_quote(quote)
    if locked.state != Quote.State.ISSUED:
        raise Refusal(
            f"{locked} is {locked.get_state_display()}; a link leads to a quote that is issued "
            "and open."
        )
    if expires_on < on:
        raise Refusal("The last day of a link is today or later.", field="expires_on")
    secret = secrets.token_urlsafe(SECRET_BYTES)
    link = ClientLink.objects.create(
        quote=locked, secret_sha256=hash_secret(secret), made_at=now, expires_on=expires_on
    )
    return NewLink(link=link, secret=secret)
