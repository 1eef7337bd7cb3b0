"""Accept a quote by its link: the client typed a name and a day, and ordered what was shown."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime

from inventory.refusals import Refusal
from inventory.stock_refusals import PieceNotFree
from quotes.keeping import all_or_nothing
from quotes.locking import lock_link, lock_quote
from quotes.models import ClientLink, ClientMessage, Decision, Quote
from quotes.queries.client_page import closed_words
from quotes.services.accept_quote import accept_quote
from quotes.services.choose_options import choose_options

NEAR_DAYS = 1
"""A client may sit where it is still yesterday or tomorrow already."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClientAnswer:
    """What became of a client's yes: the decision, or None when a promised piece had gone."""

    quote: Quote
    decision: Decision | None


@all_or_nothing()
def accept_by_link(
    *, secret: str, wanted: Collection[str] | None, name: str, dated: date, on: date, now: datetime
) -> ClientAnswer:
    """Accept what a link shows, with `wanted` of the offered options on (None: as it was sent).

    Other options than those issued make a new version at frozen prices, accepted with it. In the
    same transaction the build is entered, its stock put aside, the decision kept and the maker
    told. When a chosen piece has gone meanwhile nothing is ordered, and the maker is told that. A
    second yes by the same link returns the first one's decision. Raises LinkNotOpen, and Refusal
    without a name, with another day's date, and when the quote is not open any more.
    """
    link = lock_link(secret, on)
    quote = lock_quote(link.quote)
    if decided := Decision.objects.filter(quote=quote, link=link, said=Decision.Said.YES).first():
        return ClientAnswer(quote=quote, decision=decided)
    if closed := closed_words(quote, on):
        raise Refusal(closed)
    name = _checked(name, dated, on)
    try:
        with all_or_nothing():
            accepted = _accept(quote, wanted, name, on, now)
    except PieceNotFree as gone:
        _tell(quote, ClientMessage.About.PIECE_GONE, name, gone.sentence, now)
        return ClientAnswer(quote=quote, decision=None)
    decision = _keep(link, accepted, name, dated, now)
    words = f"with {', '.join(accepted.options)}" if accepted.pk != quote.pk else ""
    _tell(accepted, ClientMessage.About.ACCEPTED, name, words, now)
    return ClientAnswer(quote=accepted, decision=decision)


def _checked(name: str, dated: date, on: date) -> str:
    if not name.strip():
        raise Refusal("Type your name, as you would sign.", field="name")
    if abs((dated - on).days) > NEAR_DAYS:
        raise Refusal(
            f"The date is today's: {on.day} {on:%B %Y}, not {dated.day} {dated:%B %Y}.",
            field="dated",
        )
    return " ".join(name.split())[:120]


def _accept(
    quote: Quote, wanted: Collection[str] | None, name: str, on: date, now: datetime
) -> Quote:
    chosen = quote if wanted is None else choose_options(quote=quote, wanted=wanted, on=on)
    return accept_quote(quote=chosen, on=on, now=now, by=name).quote


def _keep(link: ClientLink, quote: Quote, name: str, dated: date, now: datetime) -> Decision:
    link.quote = quote
    link.save(update_fields=["quote"])
    return Decision.objects.create(
        quote=quote,
        link=link,
        said=Decision.Said.YES,
        name=name,
        dated=dated,
        decided_at=now,
        document_sha256=quote.document_sha256,
    )


def _tell(quote: Quote, about: str, name: str, words: str, now: datetime) -> None:
    ClientMessage.objects.create(
        quote=quote, about=about, name=name, words=words[:400], said_at=now
    )
