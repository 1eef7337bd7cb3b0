"""Locks on quotes together with those whose time has ended, whoever they are for."""

from datetime import date

from django.db.models import Q

from quotes.base.locking import lock_commissions
from quotes.models import Quote


def lock_with_ended(quote: Quote, on: date) -> tuple[Quote, list[Quote]]:
    """Lock a quote, and the quotes whose validity or hold ended before `on`; return it and them.

    By one call, since they may be of commissions that come before or after its own.
    """
    quotes = lock_commissions({quote.commission_id, *_commissions_with_ended(on)})
    return quotes[quote.pk], [row for row in quotes.values() if has_ended(row, on)]


def lock_ended(on: date) -> list[Quote]:
    """Lock the quotes whose validity or hold ended before `on`, and return them by key."""
    keys = _commissions_with_ended(on)
    quotes = lock_commissions(keys) if keys else {}
    return [row for row in quotes.values() if has_ended(row, on)]


def has_lapsed(quote: Quote, on: date) -> bool:
    """Say whether a sent quote's last day was before `on`."""
    is_sent = quote.state == Quote.State.ISSUED
    return is_sent and quote.valid_until is not None and quote.valid_until < on


def has_ended(quote: Quote, on: date) -> bool:
    """Say whether a quote has lapsed, or what was held for it is to be let go."""
    is_over = quote.held_until is not None and quote.held_until < on
    return is_over or has_lapsed(quote, on)


def _commissions_with_ended(on: date) -> set[int]:
    """Read without a lock what is to be locked; the rows are looked at again under it."""
    lapsed = Q(state=Quote.State.ISSUED, valid_until__lt=on)
    rows = Quote.objects.filter(lapsed | Q(held_until__lt=on))
    return set(rows.values_list("commission_id", flat=True))
