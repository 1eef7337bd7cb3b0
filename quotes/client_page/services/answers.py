"""What a client answers by a link: accepted, declined, agreed."""

from collections.abc import Collection
from dataclasses import dataclass, replace
from datetime import date, datetime

from django.db import transaction

from inventory.base.attempts import in_attempts
from inventory.base.refusals import Refusal
from inventory.ledger.refusals import PieceNotFree
from quotes.base.keeping import atomic_with_files
from quotes.base.locking import lock_change, lock_quote
from quotes.changes.queries import closed_to_change
from quotes.changes.services import record_change_decision
from quotes.client_page.bookkeeping import (
    Answer,
    as_one_line,
    checked_signature,
    notify_maker,
    record_decision,
)
from quotes.client_page.locking import lock_link
from quotes.client_page.queries import closed_words
from quotes.models import Change, ClientLink, ClientMessage, Decision, Quote
from quotes.quoting.services.decide import accept_quote, decline_quote
from quotes.quoting.services.edit import choose_options


@dataclass(frozen=True, slots=True, kw_only=True)
class ClientAnswer:
    """What became of a client's yes: the decision, or None when a promised piece had gone."""

    quote: Quote
    decision: Decision | None


@in_attempts
@atomic_with_files()
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
        with atomic_with_files():
            accepted = _accept(quote, wanted, name, on, now)
    except PieceNotFree as gone:
        words = gone.sentence
        notify_maker(
            ClientMessage.About.PIECE_GONE, Answer(about=quote, name=name, words=words, now=now)
        )
        return ClientAnswer(quote=quote, decision=None)
    link.quote = accepted
    link.save(update_fields=["quote"])
    answer = Answer(about=accepted, name=name, dated=dated, now=now)
    words = f"with {', '.join(accepted.options)}" if accepted.pk != quote.pk else ""
    notify_maker(ClientMessage.About.ACCEPTED, replace(answer, words=words))
    decision = record_decision(link, Decision.Said.YES, answer)
    return ClientAnswer(quote=accepted, decision=decision)


def _accept(
    quote: Quote, wanted: Collection[str] | None, name: str, on: date, now: datetime
) -> Quote:
    chosen = quote if wanted is None else choose_options(quote=quote, wanted=wanted, on=on)
    return accept_quote(quote=chosen, on=on, now=now, by=name).quote


@in_attempts
@transaction.atomic
def decline_by_link(*, secret: str, name: str, words: str, on: date, now: datetime) -> Decision:
    """Keep the client's no, release what was held, and tell the maker; return the decision.

    Without a name it is the client's own. A second no returns the first. Raises LinkNotOpen, and
    Refusal when the quote is not open any more.
    """
    link = lock_link(secret, on)
    quote = lock_quote(link.quote)
    if decided := Decision.objects.filter(quote=quote, link=link, said=Decision.Said.NO).first():
        return decided
    if closed := closed_words(quote, on):
        raise Refusal(closed)
    name = as_one_line(name) or quote.commission.client.name
    words = as_one_line(words, 300)
    decline_quote(quote=quote, now=now, by=name, reason=words)
    answer = Answer(about=quote, name=name, words=words, now=now)
    notify_maker(ClientMessage.About.DECLINED, answer)
    return record_decision(link, Decision.Said.NO, answer)


@in_attempts
@atomic_with_files()
def answer_change(
    *,
    secret: str,
    agreed: bool,
    name: str,
    on: date,
    now: datetime,
    dated: date | None = None,
    words: str = "",
) -> Decision:
    """Keep the client's answer to the change that a link shows, and tell the maker.

    Agreed with name and day, as it was offered: its days move the promise. Declined, a name and a
    word may be left out. The same answer by the same link returns the first one. Raises
    LinkNotOpen, and Refusal without a name, with another day's date, and when the change is not
    open any more.
    """
    link = lock_link(secret, on, to_change=True)
    change = lock_change(_change_of(link))
    said = Decision.Said.YES if agreed else Decision.Said.NO
    if decided := Decision.objects.filter(change=change, link=link, said=said).first():
        return decided
    if closed := closed_to_change(change):
        raise Refusal(closed)
    if agreed:
        name, words = checked_signature(name, dated, on), ""
    else:
        name = as_one_line(name) or change.quote.commission.client.name
        words, dated = as_one_line(words, 300), None
    change = record_change_decision(change=change, agreed=agreed, now=now, by=name)
    answer = Answer(about=change, name=name, dated=dated, words=words, now=now)
    notify_maker(ClientMessage.About.AGREED if agreed else ClientMessage.About.DECLINED, answer)
    return record_decision(link, said, answer)


def _change_of(link: ClientLink) -> Change:
    return Change.objects.select_related("quote").get(links=link)
