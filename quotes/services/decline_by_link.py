"""Decline a quote by its link, with a word if the client likes."""

from datetime import date, datetime

from django.db import transaction

from inventory.refusals import Refusal
from quotes.answering import Answer, as_one_line, keep_decision, tell_maker
from quotes.locking import lock_link, lock_quote
from quotes.models import ClientMessage, Decision
from quotes.queries.client_page import closed_words
from quotes.services.decline_quote import decline_quote


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
    tell_maker(ClientMessage.About.DECLINED, answer)
    return keep_decision(link, Decision.Said.NO, answer)
