"""Numbers of pieces: a letter and digits that can be read aloud, such as T-0412."""

import re
from dataclasses import dataclass

LETTERS = "ABCDEFGHJKLMNPRSTUVWXYZ"
"""Letters for a piece's number; I, O and Q are left out, since they are read as 1 and 0."""

LEAST_DIGITS = 4

_WRITTEN = re.compile(r"([a-z])?[\s\-–—_.#]*0*(\d{1,9})", re.IGNORECASE)


@dataclass(frozen=True, slots=True, order=True)
class PieceNumber:
    """A number as it stands on the wood; `letter` is empty when only digits were typed."""

    letter: str
    serial: int

    def __str__(self) -> str:
        digits = f"{self.serial:0{LEAST_DIGITS}d}"
        return f"{self.letter}-{digits}" if self.letter else digits

    def matches(self, other: "PieceNumber") -> bool:
        """Say whether `other` may be the same piece: digits alone match under any letter."""
        letters = {self.letter, other.letter} - {""}
        return self.serial == other.serial and len(letters) <= 1


def letter_of(name: str) -> str:
    """Return the first letter of `name` that can be read off the wood; X where there is none."""
    return next((letter for letter in name.upper() if letter in LETTERS), "X")


def format_piece_number(letter: str, serial: int) -> str:
    """Return the number to write on the wood, such as `T-0412` for `T` and 412.

    Raises ValueError for a letter that is easily misread or a serial below 1.
    """
    if len(letter) != 1 or letter.upper() not in LETTERS:
        raise ValueError(f"{letter!r} is no letter for a piece; use one of {LETTERS}.")
    if serial < 1:
        raise ValueError("Pieces are numbered from 1.")
    return str(PieceNumber(letter.upper(), serial))


def parse_piece_number(typed: str) -> PieceNumber | None:
    """Read a number however it was typed (`412`, `t412`, `T 0412`); None when it is none."""
    written = _WRITTEN.fullmatch(typed.strip())
    if written is None or not int(written[2]):
        return None
    return PieceNumber((written[1] or "").upper(), int(written[2]))


def next_serial(used: list[PieceNumber], letter: str) -> int:
    """Return the first serial after all those `used` under `letter`; gaps stay gaps."""
    return max((number.serial for number in used if number.letter == letter), default=0) + 1
