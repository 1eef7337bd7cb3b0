"""What a client's answer by a link has in common, whatever it is about: checked, kept, told."""

from dataclasses import dataclass
from datetime import date, datetime

from inventory.base.calc.days import day_words
from inventory.base.refusals import Refusal
from quotes.models import Change, ClientLink, ClientMessage, Decision, Quote

NEAR_DAYS = 1
"""A client may sit where it is still yesterday or tomorrow already."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What a client said about a quote or a change: the name and the day as they were typed."""

    about: Quote | Change
    name: str
    now: datetime
    dated: date | None = None
    words: str = ""

    @property
    def quote(self) -> Quote:
        """The quote that it is about, or whose change."""
        return self.about if isinstance(self.about, Quote) else self.about.quote

    @property
    def change(self) -> Change | None:
        """The change that it is about; None of the quote itself."""
        return self.about if isinstance(self.about, Change) else None


def checked_signature(name: str, dated: date | None, on: date) -> str:
    """Return the name as it is kept. Raises Refusal without one, and with another day's date."""
    if not name.strip():
        raise Refusal("Enter your name.", field="name")
    if dated is None or abs((dated - on).days) > NEAR_DAYS:
        given = f", not {day_words(dated)}" if dated else ""
        raise Refusal(f"Enter today’s date: {day_words(on)}{given}.", field="dated")
    return as_one_line(name)


def as_one_line(text: str, most: int = 120) -> str:
    """Return typed words without line breaks and double spaces, cut to what is kept."""
    return " ".join(text.split())[:most]


def record_decision(link: ClientLink, said: Decision.Said, answer: Answer) -> Decision:
    """Keep who said what by a link, when, and about which paper."""
    return Decision.objects.create(
        quote=answer.quote,
        change=answer.change,
        link=link,
        said=said,
        name=answer.name,
        dated=answer.dated,
        words=answer.words[:300],
        decided_at=answer.now,
        document_sha256=answer.about.document_sha256,
    )


def notify_maker(what: ClientMessage.About, answer: Answer) -> None:
    """Put what a client said on the maker's page of the day."""
    ClientMessage.objects.create(
        quote=answer.quote,
        change=answer.change,
        about=what,
        name=answer.name,
        words=answer.words[:400],
        said_at=answer.now,
    )
