"""Papers about what a client said: plain data, all of it for the client's eyes."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from quotes.documents.papers import Addressee, Letterhead


@dataclass(frozen=True, slots=True, kw_only=True)
class AcceptancePaper:
    """That a client accepted one version of a quote by typing a name.

    `decided_at` is in words, in the workshop's time. `document_sha256` names the quote's paper to
    the last byte.
    """

    letterhead: Letterhead
    addressee: Addressee
    number: str
    version: int
    title: str
    options: tuple[str, ...]
    currency: str
    gross: Decimal
    name: str
    dated: date | None
    decided_at: str
    decided_on: date
    document_sha256: str
    is_letter_size: bool
