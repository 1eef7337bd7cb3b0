"""Numbers of documents: a prefix, the year and a number that runs without gaps, as Q-2027-001."""

import re
from collections.abc import Iterable
from dataclasses import dataclass

from inventory.base.refusals import Refusal

LEAST_DIGITS = 3


@dataclass(frozen=True, slots=True, order=True)
class DocumentNumber:
    """A document's number; written out it sorts by prefix, year and number."""

    prefix: str
    year: int
    number: int

    def __post_init__(self) -> None:
        if not re.fullmatch(r"[A-Z]{1,4}", self.prefix, re.ASCII):
            raise Refusal(
                f"{self.prefix!r} can't open a document's number; use one to four capitals A to Z.",
                field="prefix",
            )
        if not 1000 <= self.year <= 9999 or self.number < 1:
            raise Refusal(
                f"Year {self.year} and number {self.number} can't number a document; "
                "years have four digits and numbers begin at 1.",
                field="number",
            )

    def __str__(self) -> str:
        return f"{self.prefix}-{self.year}-{self.number:0{LEAST_DIGITS}d}"


def gaps(numbers: Iterable[int]) -> list[int]:
    """Return the numbers missing between 1 and the highest, none in an unbroken run."""
    taken = set(numbers)
    return [number for number in range(1, max(taken, default=0)) if number not in taken]
