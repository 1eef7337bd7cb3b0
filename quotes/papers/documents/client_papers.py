"""Papers about what a client said: plain data, all of it for the client's eyes."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from quotes.papers.documents.papers import Addressee, Letterhead


@dataclass(frozen=True, slots=True, kw_only=True)
class AcceptancePaper:
    """That a client accepted one version of a quote, or agreed to a change, by typing a name.

    `change` is the change's number, or None of a quote. `decided_at` is in words, in the workshop's
    time. `document_sha256` names the paper to the last byte.
    """

    letterhead: Letterhead
    addressee: Addressee
    number: str
    version: int
    change: int | None
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

    @property
    def what(self) -> str:
        """Which paper was agreed to."""
        if self.change:
            return f"change order {self.change} to quote {self.number}"
        return f"quote {self.number}, version {self.version}"

    @property
    def heading(self) -> str:
        """What the record is called."""
        return f"Agreement to {self.what}" if self.change else f"Acceptance of {self.what}"
