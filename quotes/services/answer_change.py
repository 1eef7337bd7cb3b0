"""Answer a change by its link: the client agrees by name and day, or declines with a word."""

from datetime import date, datetime

from inventory.refusals import Refusal
from quotes.answering import Answer, as_one_line, checked_signature, keep_decision, tell_maker
from quotes.keeping import all_or_nothing
from quotes.locking import lock_change, lock_link
from quotes.models import Change, ClientLink, ClientMessage, Decision
from quotes.queries.client_change import closed_to_change
from quotes.services.decide_change import decide_change


@all_or_nothing()
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
    change = decide_change(change=change, agreed=agreed, now=now, by=name)
    answer = Answer(about=change, name=name, dated=dated, words=words, now=now)
    tell_maker(ClientMessage.About.AGREED if agreed else ClientMessage.About.DECLINED, answer)
    return keep_decision(link, said, answer)


def _change_of(link: ClientLink) -> Change:
    return Change.objects.select_related("quote").get(links=link)
