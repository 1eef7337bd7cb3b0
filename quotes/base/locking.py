"""The only place where commissions, quotes, changes and links are locked, before the check.

Always in one order: link, commissions by key, their quotes by key, change, build, materials by key,
series of numbers. Whoever starts later in that order may not go back; two that do wait for each
other.
"""

from collections.abc import Collection

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
    _lock_quotes_of({pk: locked})
    return locked


def lock_commissions(keys: Collection[int]) -> dict[int, Quote]:
    """Lock commissions and then all of their quotes, each in key order; return the quotes by key.

    An act that reaches the quotes of several commissions locks them by one call.
    """
    rows = Commission.objects.select_for_update().filter(pk__in=keys).order_by("pk")
    return _lock_quotes_of({row.pk: row for row in rows})


def lock_quote(quote: Quote) -> Quote:
    """Lock a quote with its commission and return it as it is now."""
    return lock_commissions({quote.commission_id})[quote.pk]


def lock_change(change: Change) -> Change:
    """Lock the quote of a change, its commission first, and then it; return it as it is now."""
    quote = lock_quote(change.quote)
    locked = Change.objects.select_for_update(of=("self",)).get(pk=change.pk)
    locked.quote = quote
    return locked


class PartOfAnOrder(Refusal):
    """Somebody wants to send or decide one instrument of an order by itself."""

    def __init__(self, quote: Quote) -> None:
        super().__init__(
            f"{quote.title} is part of an order of several instruments. "
            f"Do this with the whole order: {quote.part_of}."
        )


def lock_order(quote: Quote) -> Quote:
    """Lock a quote that stands by itself, and return it as it is now.

    Raises PartOfAnOrder for one that is part of another.
    """
    locked = lock_quote(quote)
    check_stands_alone(locked)
    return locked


def check_stands_alone(quote: Quote) -> None:
    """Raise PartOfAnOrder for a quote that is part of another."""
    if quote.part_of_id is not None:
        raise PartOfAnOrder(quote)


def lock_draft(quote: Quote) -> Quote:
    """Lock a quote that is still a draft, and return it as it is now. Raises NotADraft."""
    locked = lock_quote(quote)
    check_draft(locked)
    return locked


def check_draft(quote: Quote) -> None:
    """Raise NotADraft for a quote that was sent."""
    if not quote.is_draft:
        raise NotADraft(quote)


def _lock_quotes_of(commissions: dict[int, Commission]) -> dict[int, Quote]:
    rows = Quote.objects.filter(commission__in=commissions).select_for_update().order_by("pk")
    quotes = {row.pk: row for row in rows}
    for row in quotes.values():
        row.commission = commissions[row.commission_id]
    return quotes
