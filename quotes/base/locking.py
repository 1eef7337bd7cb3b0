"""The only place where commissions, quotes, changes and links are locked, before the check.

Always in one order: link, commission, its quotes by key, change, build, materials by key, series
of numbers. Whoever starts later in that order may not go back; two that do wait for each other.
"""

from inventory.base.refusals import Refusal
from quotes.models import Change, Commission, Quote


class NotADraft(Refusal):
    """Somebody wants to change what was sent."""

    def __init__(self, quote: Quote) -> None:
        super().__init__(
            f"{quote} is {quote.get_state_display()}, and a sent quote stays as it is. "
            "Revise it or copy it instead."
        )


def lock_commission(pk: int) -> Commission:
    """Lock a commission and all of its quotes, and return it as it is now.

    What is decided on one quote reaches the others: an order replaces or declines them.
    """
    locked = Commission.objects.select_for_update().get(pk=pk)
    _lock_quotes_of(locked)
    return locked


def lock_quote(quote: Quote) -> Quote:
    """Lock a quote with its commission and return it as it is now."""
    commission = Commission.objects.select_for_update().get(pk=quote.commission_id)
    locked = _lock_quotes_of(commission)[quote.pk]
    locked.commission = commission
    return locked


def lock_change(change: Change) -> Change:
    """Lock the quote of a change, its commission first, and then it; return it as it is now."""
    quote = lock_quote(change.quote)
    locked = Change.objects.select_for_update(of=("self",)).get(pk=change.pk)
    locked.quote = quote
    return locked


def lock_draft(quote: Quote) -> Quote:
    """Lock a quote that is still a draft, and return it as it is now. Raises NotADraft."""
    locked = lock_quote(quote)
    if not locked.is_draft:
        raise NotADraft(locked)
    return locked


def _lock_quotes_of(commission: Commission) -> dict[int, Quote]:
    rows = Quote.objects.filter(commission=commission).select_for_update().order_by("pk")
    return {row.pk: row for row in rows}
