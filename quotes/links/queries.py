"""What the maker sees of a quote's client: links that were given out, and what was said there."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from quotes.models import Change, ClientLink, ClientMessage, Commission, Decision, Quote

READ_AFTER = timedelta(days=14)
"""A link opens so long after the quote's last day, so that its client is told and not puzzled."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LinkLine:
    """A link and how it stands on the day; `is_followed` tells that it is open until delivery."""

    link: ClientLink
    word: str
    shape: str
    is_followed: bool = False

    @property
    def is_open(self) -> bool:
        """Say whether it still opens."""
        return self.word == "open"


@dataclass(frozen=True, slots=True, kw_only=True)
class ClientSide:
    """Links, messages and the decision of one quote, or of one change."""

    links: list[LinkLine]
    messages: list[ClientMessage]
    decision: Decision | None


def client_side(quote: Quote, on: date, change: Change | None = None) -> ClientSide:
    """Gather the client's side of a quote, or of a change to it, in three queries."""
    return ClientSide(
        links=list(link_lines(quote.links.filter(change=change), on)),
        messages=list(quote.messages.filter(change=change)),
        decision=quote.decisions.filter(change=change).first(),
    )


def link_lines(links: Iterable[ClientLink], on: date) -> Iterable[LinkLine]:
    """Say of each link how it stands."""
    for link in links:
        if link.withdrawn_at:
            yield LinkLine(link=link, word="withdrawn", shape="cross")
        elif link.change_id is None and _is_ordered(link.quote):
            yield LinkLine(link=link, word="open", shape="half", is_followed=True)
        elif link.expires_on < on:
            yield LinkLine(link=link, word="expired", shape="bars")
        else:
            yield LinkLine(link=link, word="open", shape="half")


def _is_ordered(quote: Quote) -> bool:
    return (
        quote.state == Quote.State.ACCEPTED and quote.commission.state == Commission.State.ACCEPTED
    )


def last_day_proposed(quote: Quote, on: date, change: Change | None = None) -> date:
    """Propose the last day of a link; to a change, which has none of its own, from now on."""
    last = on if change else quote.valid_until or on
    return last + READ_AFTER
