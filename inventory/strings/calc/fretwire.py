"""Fretwire from an instrument's geometry: where each fret lies and how much wire it takes."""

from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from inventory.base.refusals import Refusal

FRETS_TO_THE_OCTAVE = 12


@dataclass(frozen=True, slots=True)
class Fret:
    """One fret: its number, and in mm its distance from the nut, from the one before, and wire."""

    number: int
    from_nut: Decimal
    from_last: Decimal
    wire: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Fingerboard:
    """A fingerboard that tapers evenly from the nut to its last fret; all sizes in mm.

    `overhang` is what the wire is cut longer on each side and is filed away later.
    """

    scale: Decimal
    frets: int
    nut_width: Decimal
    last_fret_width: Decimal
    overhang: Decimal = Decimal(3)

    def __post_init__(self) -> None:
        if self.scale <= 0 or self.frets < 1:
            raise Refusal(
                "A fingerboard needs a scale above 0 and at least one fret.", field="scale"
            )
        if min(self.nut_width, self.last_fret_width) <= 0 or self.overhang < 0:
            raise Refusal("Widths must be above 0 and the overhang at least 0.", field="nut_width")


def fret_position(scale: Decimal, number: int) -> Decimal:
    """Return the distance from nut to fret `number` in equal temperament, uncompensated.

    d = L (1 - 2^(-n/12)): fret 12 halves the scale, fret 24 leaves a quarter of it.
    """
    return scale * (1 - Decimal(2) ** (-Decimal(number) / FRETS_TO_THE_OCTAVE))


def frets_of(board: Fingerboard) -> tuple[Fret, ...]:
    """Return every fret of `board` with the wire that it takes, overhang on both sides included."""
    positions = [fret_position(board.scale, number) for number in range(board.frets + 1)]
    widening = (board.last_fret_width - board.nut_width) / positions[-1]
    return tuple(
        Fret(
            number=number,
            from_nut=here,
            from_last=here - before,
            wire=board.nut_width + widening * here + 2 * board.overhang,
        )
        for number, (before, here) in enumerate(pairwise(positions), start=1)
    )


def wire_length(board: Fingerboard) -> Decimal:
    """Return the wire in mm that all frets take together, before any waste rule."""
    return sum((fret.wire for fret in frets_of(board)), Decimal(0))
