"""The only place where a quote's row is locked: once a transaction, before the check."""

from inventory.base.refusals import Refusal
from quotes.models import Change, Commission, Quote


class NotADraft(Refusal):
    """Somebody wants to change what was sent."""

    def __init__(self, quote: Quote) -> None:
        super().__init__(
            f"{quote} is {quote.get_state_display()}, and what was sent stays as it is. "
            "Revise it or copy it to change anything."
        )


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
