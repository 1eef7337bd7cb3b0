"""Strings: pitch, tension of a plain steel string, and how many sets singles still make."""

import math
import re
from dataclasses import dataclass

from inventory.base.calc.units import INCH_MM
from inventory.base.refusals import Refusal

STEEL = 7850.0
"""kg/m³ of music wire; charts of unit weights are about 0.55 % lower."""

WIRE_BREAKS_AT = (2200.0, 2700.0)
"""MPa at which music wire breaks, roughly: common practice, no source."""

_SEMITONES = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}
_ACCIDENTALS = {"": 0, "#": 1, "♯": 1, "b": -1, "♭": -1}
_NOTE = re.compile(r"([A-Ga-g])([#♯b♭]?)(-?\d)")
_A4_MIDI = 69
_A4_HERTZ = 440.0


@dataclass(frozen=True, slots=True)
class PlainString:
    """A plain steel string under tension: newtons, and the stress in it in MPa."""

    newtons: float
    stress: float

    @property
    def may_break(self) -> bool:
        """Say whether the stress comes near what music wire stands."""
        return self.stress >= 0.9 * WIRE_BREAKS_AT[0]


def hertz_of(note: str) -> float:
    """Return the pitch of a note such as `E5`, `F#4` or `Bb3`, equal tempered from A4 = 440 Hz.

    440 x 2^((m - 69)/12) with the number m of the note, C4 being 60 (ISO 16 for the 440 Hz).
    """
    written = _NOTE.fullmatch(note.strip())
    if written is None:
        raise Refusal(
            f"{note!r} is not a note. Write a letter, # or b, and the octave, such as F#4."
        )
    letter, accidental, octave = written.groups()
    number = 12 * (int(octave) + 1) + _SEMITONES[letter.upper()] + _ACCIDENTALS[accidental]
    return _A4_HERTZ * math.pow(2, (number - _A4_MIDI) / 12)


def tension(kilograms_per_metre: float, scale_mm: float, hertz: float) -> float:
    """Return the tension in N of a string of this mass: T = m (2 L f)²."""
    return kilograms_per_metre * (2 * scale_mm / 1000 * hertz) ** 2


def plain_string(
    gauge_inches: float, scale_mm: float, hertz: float, density: float = STEEL
) -> PlainString:
    """Return tension and stress of a plain string; `gauge_inches` is its diameter, as in 0.010.

    A wound string's mass is measured, not computed: use `tension` with the maker's figure.
    """
    if min(gauge_inches, scale_mm, hertz) <= 0:
        raise Refusal("A string needs a gauge, a scale and a pitch above 0.", field="gauge")
    square_metres = math.pi * (gauge_inches * float(INCH_MM) / 1000) ** 2 / 4
    newtons = tension(density * square_metres, scale_mm, hertz)
    return PlainString(newtons, newtons / square_metres / 1e6)
