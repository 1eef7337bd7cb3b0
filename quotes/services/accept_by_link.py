"""Accept a quote by its link: the client typed a name and a day, and ordered what was shown."""

from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import date, datetime

from inventory.refusals import Refusal
from inventory.stock_refusals import PieceNotFree
from quotes.answering import Answer, checked_signature, keep_decision, tell_maker
from quotes.keeping import all_or_nothing
from quotes.locking import lock_link, lock_quote
from quotes.models import ClientMessage, Decision, Quote
from quotes.queries.client_page import closed_words
from quotes.services.accept_quote import accept_quote
from quotes.services.choose_options import choose_options


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
    name = checked_signature(name, dated, on)
    try:
        with all_or_nothing():
            accepted = _accept(quote, wanted, name, on, now)
    except PieceNotFree as gone:
        words = gone.sentence
        tell_maker(
            ClientMessage.About.PIECE_GONE, Answer(about=quote, name=name, words=words, now=now)
        )
        return ClientAnswer(quote=quote, decision=None)
    link.quote = accepted
    link.save(update_fields=["quote"])
    answer = Answer(about=accepted, name=name, dated=dated, now=now)
    words = f"with {', '.join(accepted.options)}" if accepted.pk != quote.pk else ""
    tell_maker(ClientMessage.About.ACCEPTED, replace(answer, words=words))
    decision = keep_decision(link, Decision.Said.YES, answer)
    return ClientAnswer(quote=accepted, decision=decision)


def _accept(
    quote: Quote, wanted: Collection[str] | None, name: str, on: date, now: datetime
) -> Quote:
    chosen = quote if wanted is None else choose_options(quote=quote, wanted=wanted, on=on)
    return accept_quote(quote=chosen, on=on, now=now, by=name).quote
