"""What papers after acceptance say: changes and the confirmation, all for the client's eyes."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from quotes.papers.documents.papers import (
    Addressee,
    Letterhead,
    PaperPart,
    PaperTotals,
    QuotePaper,
)
from shop.calendar.calc import days_moved


@dataclass(frozen=True, slots=True, kw_only=True)
class AgreedStep:
    """The order, or a change that was agreed to it: when, by whom, in which words, and its gross.

    `record` tells how it was agreed and names its paper, `when` at which time it is paid.
    """

    title: str
    on: date | None
    by: str
    words: str
    gross: Decimal
    record: str
    when: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreement:
    """What is agreed beside a change, and from when to when the change moves the day.

    `ready_before` is empty once the change is agreed, `ready_after` once it is declined.
    """

    steps: tuple[AgreedStep, ...]
    ready_before: date | None
    ready_after: date | None

    @property
    def gross(self) -> Decimal:
        """What the client pays in all without the change."""
        return sum((step.gross for step in self.steps), Decimal(0))


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangePaper:
    """A change after acceptance, for the client's agreement."""

    letterhead: Letterhead
    addressee: Addressee
    number: str
    title: str
    subject: str
    words: str
    totals: PaperTotals
    agreement: Agreement
    days_added: int
    is_paid_ahead: bool
    offered_on: date
    is_letter_size: bool

    @property
    def gross_after(self) -> Decimal:
        """What the client pays in all with the change."""
        return self.agreement.gross + self.totals.gross

    @property
    def days_words(self) -> str:
        """By how much the change moves the day; nothing where it doesn't."""
        moved = days_moved(self.days_added)
        return f"The instrument is ready {moved}." if moved else ""

    @property
    def has_words_before(self) -> bool:
        """Say whether any words were agreed before."""
        return any(step.words for step in self.agreement.steps)

    @property
    def payment_words(self) -> str:
        """When it is to be paid."""
        if self.totals.gross < 0:
            return "It reduces what is still to be paid."
        if not self.totals.gross:
            return "It is free of charge."
        when = "in advance" if self.is_paid_ahead else "with the balance"
        return f"It is paid {when}."


@dataclass(frozen=True, slots=True, kw_only=True)
class ConfirmationPaper:
    """An order confirmed: the quote as accepted, the build's number, changes agreed since."""

    quote: QuotePaper
    serial: str
    accepted_on: date
    accepted_by: str
    changes: tuple[AgreedStep, ...]

    @property
    def gross(self) -> Decimal:
        """What the client pays in all, changes included."""
        return self.quote.totals.gross + sum((step.gross for step in self.changes), Decimal(0))

    @property
    def plan(self) -> tuple[PaperPart, ...]:
        """All that is paid, part by part and change by change; it adds up to `gross`."""
        changes = (
            PaperPart(words=step.title, amount=step.gross, when=step.when)
            for step in self.changes
            if step.gross
        )
        return (*self.quote.parts, *changes)

    @property
    def letterhead(self) -> Letterhead:
        """The letterhead as it stood on the quote."""
        return self.quote.letterhead

    @property
    def addressee(self) -> Addressee:
        """The client as they stood on the quote."""
        return self.quote.addressee

    @property
    def currency(self) -> str:
        """The currency of all amounts."""
        return self.quote.totals.currency

    @property
    def is_letter_size(self) -> bool:
        """The size of the quote's paper."""
        return self.quote.is_letter_size
