"""A set of strings: what each pulls with at its pitch and scale, and all of them together."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from inventory.base.calc.units import INCH_MM, round_quantity
from inventory.base.refusals import Refusal
from inventory.strings.calc.strings import hertz_of, plain_string, tension

POUND_FORCE = 4.4482216152605
"""Newtons in one pound of force (NIST SP 811, appendix B)."""

_POUND = Decimal("453.59237")
_WEIGHT_PLACES = Decimal("0.00001")
_PER_METRE = {
    "g/m": Decimal(1),
    "kg/m": Decimal(1000),
    "lb/in": _POUND / INCH_MM * 1000,
    "g/in": 1000 / INCH_MM,
}
_TYPED = re.compile(r"(?P<number>\d*[.,]?\d+(?:e-?\d+)?)\s*(?P<unit>[a-z]+/[a-z]+)?", re.IGNORECASE)
_GAUGE = re.compile(r"(?P<number>\d*[.,]?\d+)\s*(?P<unit>mm|in|\")?", re.IGNORECASE)
_THINNEST, _THICKEST = Decimal(4), Decimal(200)
_LARGEST_WEIGHT = Decimal(1000)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedString:
    """One string of a course: its pitch, its gauge in thousandths of an inch, and how many.

    `grams_per_metre` is what was measured or read; without it the string is plain steel.
    """

    pitch: str
    gauge: Decimal
    count: int = 1
    grams_per_metre: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StringPull:
    """What one string pulls with, in N; the stress in MPa is known of plain steel only."""

    string: PlannedString
    hertz: float
    newtons: float
    stress: float | None = None
    may_break: bool = False

    @property
    def pounds(self) -> float:
        return self.newtons / POUND_FORCE

    @property
    def together(self) -> float:
        """Newtons of all strings of the course."""
        return self.newtons * self.string.count

    @property
    def pounds_together(self) -> float:
        return self.together / POUND_FORCE


@dataclass(frozen=True, slots=True, kw_only=True)
class SetPull:
    """What a set pulls with: string by string as they were given, and together."""

    strings: tuple[StringPull, ...]

    @property
    def count(self) -> int:
        return sum(one.string.count for one in self.strings)

    @property
    def newtons(self) -> float:
        return sum(one.together for one in self.strings)

    @property
    def pounds(self) -> float:
        return self.newtons / POUND_FORCE

    @property
    def strongest(self) -> float:
        """Newtons of the string that pulls the most, 0 without strings."""
        return max((one.newtons for one in self.strings), default=0.0)


def pull_of(strings: Sequence[PlannedString], scale_mm: Decimal) -> SetPull:
    """Return what `strings` pull with at a scale length. Raises Refusal for what can't be."""
    return SetPull(strings=tuple(_pull(string, scale_mm) for string in strings))


def read_unit_weight(typed: str) -> Decimal:
    """Read the mass of a length of string in g/m, from `6.82 g/m` or `0.00038216 lb/in`.

    A bare number is in g/m. Rounded half up to a hundred-thousandth. Raises Refusal.
    """
    found = _TYPED.fullmatch(typed.strip())
    unit = (found["unit"] or "g/m").lower() if found else ""
    if found is None or unit not in _PER_METRE:
        raise Refusal(
            f"“{typed}” is not a unit weight. Write it as 6.82 g/m or 0.00038216 lb/in.",
            field="weight",
        )
    weight = Decimal(found["number"].replace(",", ".")) * _PER_METRE[unit]
    if not _WEIGHT_PLACES <= weight <= _LARGEST_WEIGHT:
        raise Refusal(
            f"{weight.normalize():f} g/m can't be the weight of a string: a thin plain string "
            "has about 0.4 g/m, a thick wound one about 15 g/m.",
            field="weight",
        )
    return weight.quantize(_WEIGHT_PLACES, rounding=ROUND_HALF_UP)


def read_gauge(typed: str) -> Decimal:
    """Read a gauge in thousandths of an inch, from `10`, `.010`, `0.010 in` or `0.25 mm`.

    A bare number below 1 is in inches, as it is written on a packet. Raises Refusal.
    """
    found = _GAUGE.fullmatch(typed.strip())
    if found is None:
        raise Refusal(f"“{typed}” is not a gauge. Write it as 10, .010 or 0.25 mm.", field="gauge")
    number = Decimal(found["number"].replace(",", "."))
    unit = (found["unit"] or "").lower()
    if unit == "mm":
        number = number / INCH_MM * 1000
    elif unit in {"in", '"'} or (not unit and number < 1):
        number *= 1000
    if not _THINNEST <= number <= _THICKEST:
        raise Refusal(
            f"{typed}: a string is between {_THINNEST} and {_THICKEST} thousandths of an inch "
            "thick.",
            field="gauge",
        )
    return round_quantity(number)


def _pull(string: PlannedString, scale_mm: Decimal) -> StringPull:
    hertz, scale = hertz_of(string.pitch), float(scale_mm)
    if string.grams_per_metre is None:
        plain = plain_string(float(string.gauge) / 1000, scale, hertz)
        return StringPull(
            string=string,
            hertz=hertz,
            newtons=plain.newtons,
            stress=plain.stress,
            may_break=plain.may_break,
        )
    newtons = tension(float(string.grams_per_metre) / 1000, scale, hertz)
    return StringPull(string=string, hertz=hertz, newtons=newtons)
