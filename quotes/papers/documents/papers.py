"""What each paper says: plain data, all of it for the client's eyes."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.core.files.storage import default_storage

from inventory.base.documents import picture_inside
from shop.calendar.calc import days_moved
from shop.patterns.calc import SpecRow


@dataclass(frozen=True, slots=True, kw_only=True)
class Letterhead:
    """The workshop at the top of every paper."""

    name: str
    maker: str
    address: str
    email: str
    phone: str
    tax_number: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Addressee:
    """Whom a paper is for."""

    name: str
    address: str
    tax_number: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperLine:
    """Words and an amount in the paper's currency."""

    words: str
    amount: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperPart:
    """One part of the price: its share of it in percent, and when it is asked for."""

    words: str
    amount: Decimal
    share: Decimal | None = None
    when: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperPicture:
    """A photo by the name under which it is stored, and what it shows."""

    name: str
    words: str

    @property
    def inside(self) -> str:
        """An address that holds the picture itself; empty once its file is gone."""
        if not default_storage.exists(self.name):
            return ""
        with default_storage.open(self.name) as kept:
            return picture_inside(kept)


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperTotals:
    """Lines, their net, the tax of each rate, and the gross. Raises ValueError if they disagree."""

    currency: str
    lines: tuple[PaperLine, ...]
    net: Decimal
    taxes: tuple[PaperLine, ...]
    rounding: Decimal
    gross: Decimal
    remark: str

    def __post_init__(self) -> None:
        if sum((line.amount for line in self.lines), Decimal(0)) != self.net:
            raise ValueError("The lines of the paper don't add up to its net.")
        tax = sum((line.amount for line in self.taxes), Decimal(0))
        if self.net + tax + self.rounding != self.gross:
            raise ValueError("Net and tax of the paper are not its gross.")


@dataclass(frozen=True, slots=True, kw_only=True)
class SpecificationRow:
    """One row of a specification; `name` is empty where the words stand by themselves."""

    name: str
    words: str


LONGEST_NAME = 32
"""What stands before a colon names its row up to this many letters."""


def specification_rows(text: str) -> tuple[SpecificationRow, ...]:
    """Set a specification out in rows: what stands before a colon names the rest of its line."""
    return tuple(_row(line.strip()) for line in text.splitlines() if line.strip())


def described(rows: Iterable[SpecRow], text: str) -> tuple[SpecificationRow, ...]:
    """Return the rows of a specification, then its free words."""
    own = (SpecificationRow(name=row.name, words=row.words) for row in rows)
    return (*own, *specification_rows(text))


def _row(line: str) -> SpecificationRow:
    name, colon, words = line.partition(":")
    if colon and words.strip() and len(name) <= LONGEST_NAME:
        return SpecificationRow(name=name.strip(), words=words.strip())
    return SpecificationRow(name="", words=line)


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferedOption:
    """An option that the client may switch: what that does to the net, and to the days.

    `is_on` tells that the price has it in it; below 0 is less or earlier. `one_of` names the choice
    of which exactly one is taken.
    """

    name: str
    is_on: bool
    amount: Decimal
    days: int
    one_of: str = ""

    @property
    def words(self) -> str:
        """What the line of a paper says."""
        if self.one_of:
            return f"{self.one_of}: {self.name}"
        return f"Without {self.name}" if self.is_on else self.name

    @property
    def days_words(self) -> str:
        """The days in words; nothing where there are none."""
        return days_moved(self.days)


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperInstrument:
    """One of several instruments on a paper: what it is, and by when it is ready."""

    title: str
    rows: tuple[SpecRow, ...]
    specification: str
    options: tuple[str, ...]
    ready_on: date | None
    serial: str = ""

    @property
    def specification_rows(self) -> tuple[SpecificationRow, ...]:
        """The rows of its specification, its free words, then its options."""
        options = (SpecificationRow(name="Options", words=", ".join(self.options)),)
        return described(self.rows, self.specification) + (options if self.options else ())


@dataclass(frozen=True, slots=True, kw_only=True)
class QuotePaper:
    """A quote as the client reads it: no hours, no rate, no markup, no contingency."""

    letterhead: Letterhead
    addressee: Addressee
    number: str
    version: int
    title: str
    specification: str
    options: tuple[str, ...]
    offered: tuple[OfferedOption, ...]
    totals: PaperTotals
    allowances: tuple[PaperLine, ...]
    parts: tuple[PaperPart, ...]
    issued_on: date
    valid_until: date
    ready_on: date | None
    terms: str
    is_letter_size: bool
    payment_days: int | None = None
    charged: str = ""
    pictures: tuple[PaperPicture, ...] = ()
    rows: tuple[SpecRow, ...] = ()
    further: tuple[PaperInstrument, ...] = ()

    @property
    def ready_last(self) -> date | None:
        """The day by which all of it is ready; None while a day is open."""
        days = [self.ready_on, *(one.ready_on for one in self.further)]
        known = [day for day in days if day]
        return max(known) if len(known) == len(days) else None

    @property
    def described(self) -> tuple[SpecificationRow, ...]:
        """The rows of the specification, then its free words, without the options."""
        return described(self.rows, self.specification)

    @property
    def specification_rows(self) -> tuple[SpecificationRow, ...]:
        """The rows of the specification, its free words, then the options chosen."""
        options = (SpecificationRow(name="Options", words=", ".join(self.options)),)
        return self.described + (options if self.options else ())


@dataclass(frozen=True, slots=True, kw_only=True)
class BankAccount:
    """Where to pay to; `code` is the text of a payment code, or empty."""

    holder: str
    iban: str
    bic: str
    code: str


@dataclass(frozen=True, slots=True, kw_only=True)
class InvoicePaper:
    """An invoice or a credit note. `concerns` names what it is for, such as the quote."""

    letterhead: Letterhead
    addressee: Addressee
    name: str
    number: str
    title: str
    concerns: tuple[str, ...]
    totals: PaperTotals
    home_tax: str
    issued_on: date
    due_on: date | None
    bank: BankAccount | None
    terms: str
    is_letter_size: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ReceiptPaper:
    """That money came in, or went back."""

    letterhead: Letterhead
    addressee: Addressee
    number: str
    title: str
    currency: str
    amount: Decimal
    received_on: date
    way: str
    concerns: tuple[str, ...]
    is_letter_size: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class StatementLine:
    """One line of an account; `balance` is after it."""

    on: date
    words: str
    charged: Decimal
    paid: Decimal
    balance: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class StatementPaper:
    """A client's account in one currency over a stretch of days."""

    letterhead: Letterhead
    addressee: Addressee
    currency: str
    since: date
    until: date
    lines: tuple[StatementLine, ...]
    balance: Decimal
    bank: BankAccount | None
    is_letter_size: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CertificateRow:
    """A name and what is known of it; `botanical` is the name of a species among botanists."""

    name: str
    about: str
    botanical: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CertificatePaper:
    """What an instrument is and what it is made of, for the decades after.

    `pieces` are named by what they became, `readings` are the last of each measure, and `photo` is
    an address that holds the picture itself, or empty.
    """

    letterhead: Letterhead
    made_for: str
    currency: str
    serial: str
    title: str
    photo: str
    finished_on: date | None
    specification: str
    options: tuple[str, ...]
    changes: tuple[str, ...]
    pieces: tuple[CertificateRow, ...]
    materials: tuple[CertificateRow, ...]
    readings: tuple[CertificateRow, ...]
    is_letter_size: bool
    rows: tuple[SpecRow, ...] = ()

    @property
    def specification_rows(self) -> tuple[SpecificationRow, ...]:
        """The specification as it is now, then the options, then the changes agreed since."""
        options = [SpecificationRow(name="Options", words=", ".join(self.options))]
        changes = [SpecificationRow(name="", words=words) for words in self.changes]
        return (
            *described(self.rows, self.specification),
            *(options if self.options else []),
            *changes,
        )
