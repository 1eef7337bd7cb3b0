"""The only place where a quote's row is locked: once a transaction, before the check."""

from datetime import date

from inventory.base.refusals import Refusal
from quotes.client_page.queries import open_links
from quotes.models import Change, ClientLink, Commission, Quote


class NotADraft(Refusal):
    """Somebody wants to change what was sent."""

    def __init__(self, quote: Quote) -> None:
        super().__init__(
            f"{quote} is {quote.get_state_display()}, and what was sent stays as it is. "
            "Revise it or copy it to change anything."
        )


class LinkNotOpen(Refusal):
    """A secret that opens nothing: mistyped, withdrawn or past its last day, which is all one."""

    def __init__(self) -> None:
        super().__init__(
            "This link opens nothing. It may have ended, or a letter of it is missing. "
            "Write to the workshop, which can send a new one."
        )


def lock_link(secret: str, on: date, *, to_change: bool = False) -> ClientLink:
    """Lock the link with this secret and return it as it is now. Raises LinkNotOpen.

    A link to a quote opens no change and a link to a change no quote.
    """
    # No join: whoever waited here may find the link moved to a version that was made meanwhile.
    link = open_links(secret, on, to_change=to_change).select_for_update().first()
    if link is None:
        raise LinkNotOpen
    return link


def lock_quote(quote: Quote) -> Quote:
    """Lock a quote's row and return it as it is now."""
    return Quote.objects.select_for_update(of=("self",)).get(pk=quote.pk)


def lock_change(change: Change) -> Change:
    """Lock the quote of a change, its commission and then the change; return it as it is now."""
    quote = lock_quote(change.quote)
    # Whoever cancels the order locks its commission only.
    quote.commission = Commission.objects.select_for_update().get(pk=quote.commission_id)
    locked = Change.objects.select_for_update(of=("self",)).get(pk=change.pk)
    locked.quote = quote
    return locked


def lock_draft(quote: Quote) -> Quote:
    """Lock a quote that is still a draft, and return it as it is now. Raises NotADraft."""
    locked = lock_quote(quote)
    if not locked.is_draft:
        raise NotADraft(locked)
    return locked
