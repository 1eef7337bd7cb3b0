"""Numbers of pieces: a letter and digits that can be read aloud, such as T-0412, or T-0412A."""

import re
from dataclasses import dataclass, replace

LETTERS = "ABCDEFGHJKLMNPRSTUVWXYZ"
"""Letters for a piece's number; I, O and Q are left out, since they are read as 1 and 0."""

PARTS = "ABCDEFGH"
"""Letters behind the number of a set, for its parts once it is split."""

LEAST_DIGITS = 4

_WRITTEN = re.compile(r"([a-z])?[\s\-–—_.#]*0*(\d{1,9})[\s-]*([a-h])?", re.IGNORECASE)


@dataclass(frozen=True, slots=True, order=True)
class PieceNumber:
    """A number as it stands on the wood; `letter` is empty when only digits were typed.

    `part` is the letter of one part of a set that was split.
    """

    letter: str
    serial: int
    part: str = ""

    def __str__(self) -> str:
        digits = f"{self.serial:0{LEAST_DIGITS}d}{self.part}"
        return f"{self.letter}-{digits}" if self.letter else digits

    def matches(self, other: "PieceNumber") -> bool:
        """Say whether `other` may be the same piece: what was not typed matches anything."""
        letters = {self.letter, other.letter} - {""}
        parts = {self.part, other.part} - {""}
        return self.serial == other.serial and len(letters) <= 1 and len(parts) <= 1

    @property
    def written(self) -> list[str]:
        """Every number that may be meant on the wood: where no letter was typed, under all."""
        letters = self.letter or LETTERS
        parts = [self.part] if self.part or self.letter else ["", *PARTS]
        return [str(replace(self, letter=one, part=part)) for one in letters for part in parts]


def letter_of(name: str) -> str:
    """Return the first letter of `name` that can be read off the wood; X where there is none."""
    return next((letter for letter in name.upper() if letter in LETTERS), "X")


def format_piece_number(letter: str, serial: int) -> str:
    """Return the number to write on the wood, such as `T-0412` for `T` and 412.

    Raises ValueError for a letter that is easily misread or a serial below 1.
    """
    if len(letter) != 1 or letter.upper() not in LETTERS:
        raise ValueError(f"{letter!r} is not a letter for a piece number; use one of {LETTERS}.")
    if serial < 1:
        raise ValueError("Pieces are numbered from 1.")
    return str(PieceNumber(letter.upper(), serial))


def parse_piece_number(typed: str) -> PieceNumber | None:
    """Read a number however it was typed (`412`, `t412`, `T 0412`); None when it is none."""
    written = _WRITTEN.fullmatch(typed.strip())
    if written is None or not int(written[2]):
        return None
    letter, part = (written[1] or "").upper(), (written[3] or "").upper()
    return PieceNumber(letter, int(written[2]), part)


def part_numbers(number: str, count: int) -> list[str]:
    """Return the numbers of the `count` parts of the set `number`, such as T-0412A and T-0412B.

    Raises ValueError for more parts than there are letters.
    """
    if count > len(PARTS):
        raise ValueError(f"A set has at most {len(PARTS)} parts.")
    return [f"{number}{part}" for part in PARTS[:count]]
