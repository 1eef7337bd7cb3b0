"""What of the books needs a hand today: quotes about to lapse, money owed, what clients said."""

from dataclasses import dataclass
from datetime import date, timedelta

from quotes.models import ClientMessage, Quote
from quotes.queries.holds import held_by, lost_of
from quotes.queries.invoices import ClientAccount, OwedInvoice, owed_on
from quotes.queries.quote_list import SOON_DAYS, QuoteStanding, standing_of

MOST = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class TodaysBooks:
    """Lists that are empty where nothing needs a hand; what is due first stands first."""

    said: list[ClientMessage]
    lost: list[tuple[Quote, str]]
    lapsing: list[QuoteStanding]
    due: list[tuple[ClientAccount, OwedInvoice]]


def todays_books(on: date) -> TodaysBooks:
    """Return what of the books needs a hand on the day, in five queries however long the books.

    Three more where stock is held for a quote.
    """
    said = ClientMessage.objects.filter(seen_at=None).select_related(
        "quote__commission__client", "change"
    )
    return TodaysBooks(said=list(said[:MOST]), lost=_lost(on), lapsing=_lapsing(on), due=_due(on))


def _lost(on: date) -> list[tuple[Quote, str]]:
    """Return the quotes that lost what was held for them, each with what has gone."""
    rows = Quote.objects.filter(held_until__gte=on).select_related("commission__client")
    quotes = list(rows.order_by("pk"))
    held = held_by(quotes)
    lost = [(quote, lost_of(held.get(quote.pk, ()))) for quote in quotes]
    return [(quote, words) for quote, words in lost if words][:MOST]


def _lapsing(on: date) -> list[QuoteStanding]:
    last = on + timedelta(days=SOON_DAYS)
    quotes = Quote.objects.filter(state=Quote.State.ISSUED, valid_until__range=(on, last))
    quotes = quotes.select_related("commission__client", "build").order_by("valid_until", "pk")
    return [standing_of(quote, on, gross=quote.gross) for quote in quotes[:MOST]]


def _due(on: date) -> list[tuple[ClientAccount, OwedInvoice]]:
    """Return the invoices that are due by the day, those late longest first."""
    due = [
        (account, one)
        for account in owed_on(on)
        for one in account.invoices
        if one.invoice.due_on <= on
    ]
    return sorted(due, key=lambda pair: pair[1].invoice.due_on)[:MOST]
