"""Lists of quotes: what stands where, and who is waiting for an answer."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Q, QuerySet, prefetch_related_objects

from inventory.base.queries import home_currency
from inventory.base.refusals import Refusal
from quotes.models import Quote
from quotes.pricing.queries.offer import live_offer
from quotes.pricing.queries.pricing import QUOTE_ROWS
from quotes.quoting.queries.holds import HeldStock, held_by, lost_of

SOON_DAYS = 7
"""A quote that lapses within a week needs a word to the client."""

GROUPS: dict[str, tuple[Quote.State, ...]] = {
    "open": (Quote.State.DRAFT, Quote.State.ISSUED),
    "accepted": (Quote.State.ACCEPTED,),
    "past": (Quote.State.DECLINED, Quote.State.LAPSED, Quote.State.REPLACED, Quote.State.CANCELLED),
}
SHAPES = {
    Quote.State.DRAFT: "ring",
    Quote.State.ISSUED: "half",
    Quote.State.ACCEPTED: "full",
    Quote.State.DECLINED: "cross",
    Quote.State.LAPSED: "bars",
    Quote.State.REPLACED: "cross",
    Quote.State.CANCELLED: "cross",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class QuoteStanding:
    """A quote on the day: what the client pays, what is to be done, and whether today."""

    quote: Quote
    state: Quote.State
    gross: Decimal | None
    word: str
    shape: str
    needs_hand: bool
    remark: str


def quotes_in(group: str, search: str = "") -> QuerySet[Quote]:
    """Quotes of a group (open, accepted, past; all others mean every state), the latest first."""
    quotes = Quote.offers.select_related("commission__client", "template", "build").defer("frozen")
    if group in GROUPS:
        quotes = quotes.filter(state__in=GROUPS[group])
    if search:
        quotes = quotes.filter(
            Q(title__icontains=search)
            | Q(number__icontains=search)
            | Q(commission__client__name__icontains=search)
        )
    return quotes


def standings(quotes: Iterable[Quote], on: date) -> list[QuoteStanding]:
    """Say of each quote where it stands on the day; drafts are priced as they are now."""
    home = home_currency()
    quotes = list(quotes)
    drafts = [quote for quote in quotes if quote.gross is None]
    prefetch_related_objects(drafts, *QUOTE_ROWS)
    held = held_by(quotes)
    return [
        standing_of(
            quote,
            on,
            gross=_live_gross(quote, on, home) if quote.gross is None else quote.gross,
            held=held.get(quote.pk, ()),
        )
        for quote in quotes
    ]


def standing_of(
    quote: Quote, on: date, *, gross: Decimal | None, held: Iterable[HeldStock] = ()
) -> QuoteStanding:
    """Say where one quote stands on the day, of which `held` is held.

    A quote past its date counts as lapsed at once.
    """
    state = Quote.State(quote.state)
    if is_past(quote, on):
        state = Quote.State.LAPSED
    remark, needs_hand = _remark(quote, state, on)
    if lost := lost_of(held):
        remark, needs_hand = f"reserved piece no longer available: {lost}; {remark}", True
    return QuoteStanding(
        quote=quote,
        state=state,
        gross=gross,
        word=str(state.label),
        shape="hand" if needs_hand else SHAPES[state],
        needs_hand=needs_hand,
        remark=remark,
    )


def is_past(quote: Quote, on: date) -> bool:
    """Say whether an issued quote's last day is over."""
    last = quote.valid_until
    return quote.state == Quote.State.ISSUED and last is not None and last < on


def _live_gross(quote: Quote, on: date, home: str) -> Decimal | None:
    try:
        return live_offer(quote, on=on, home=home).document.due
    except Refusal:
        return None


def _remark(quote: Quote, state: Quote.State, on: date) -> tuple[str, bool]:
    if state == Quote.State.DRAFT:
        days = (on - quote.drafted_on).days
        return (f"drafted {_days(days)} ago" if days else "drafted today", days > SOON_DAYS)
    if state == Quote.State.ISSUED and quote.valid_until:
        left = (quote.valid_until - on).days
        return (f"expires in {_days(left)}" if left else "expires tonight", left <= SOON_DAYS)
    if state == Quote.State.ACCEPTED and quote.build:
        return f"build {quote.build.serial}", False
    return quote.decline_reason, False


def _days(count: int) -> str:
    return "1 day" if count == 1 else f"{count} days"
