"""Create a link at which a client reads a quote that was sent, or a change to it."""

import secrets
from dataclasses import dataclass
from datetime import date, datetime

from inventory.base.attempts import in_attempts
from inventory.base.refusals import Refusal
from quotes.base.keeping import atomic_with_files
from quotes.base.locking import lock_change, lock_order
from quotes.changes.bookkeeping import freeze_change
from quotes.changes.queries import closed_to_change
from quotes.links.calc import SECRET_BYTES, hash_secret
from quotes.models import Change, ClientLink, Quote


@dataclass(frozen=True, slots=True, kw_only=True)
class NewLink:
    """A link and its secret, which is told this once and can't be read again."""

    link: ClientLink
    secret: str


@in_attempts
@atomic_with_files()
def create_link(
    *, quote: Quote, expires_on: date, on: date, now: datetime, change: Change | None = None
) -> NewLink:
    """Return a new link that opens up to `expires_on`, that day included.

    It leads to the quote, or with `change` to that change to it. Raises Refusal for what can't be
    answered, and for a day that is over.
    """
    if change is None:
        locked = _open_quote(quote)
    else:
        change = _open_change(change)
        locked = change.quote
    if expires_on < on:
        raise Refusal("The last day must be today or later.", field="expires_on")
    secret = secrets.token_urlsafe(SECRET_BYTES)
    link = ClientLink.objects.create(
        quote=locked,
        change=change,
        secret_sha256=hash_secret(secret),
        made_at=now,
        expires_on=expires_on,
    )
    return NewLink(link=link, secret=secret)


def _open_quote(quote: Quote) -> Quote:
    locked = lock_order(quote)
    if locked.state != Quote.State.ISSUED:
        raise Refusal(
            f"{locked} is {locked.get_state_display()}; a link needs a quote that is sent "
            "and still valid."
        )
    return locked


def _open_change(change: Change) -> Change:
    """Lock a change that can be answered; one from before papers were kept gets its own now."""
    locked = lock_change(change)
    if closed_to_change(locked):
        raise Refusal(f"{locked} can't be answered any more, so it gets no link.")
    if not locked.document_sha256:
        freeze_change(locked)
        locked.save(update_fields=["frozen", "document", "document_sha256"])
    return locked
