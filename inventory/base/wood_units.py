"""The units in which this shop measures wood: mm, g and kg/m³, or inches, ounces and lb/ft³.

Sizes and masses are stored in mm and g, and the API speaks of those; pages, papers and forms show
and read the shop's own.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from decimal import Decimal

from inventory.base.calc.units import POUND_PER_CUBIC_FOOT, from_base, unit_word
from inventory.models import Workshop
from inventory.templatetags.figures import plain_decimal


@dataclass(frozen=True, slots=True)
class WoodUnits:
    """Codes of the units; that of density is a word, with the kg/m³ that one of it is."""

    size: str
    long: str
    area: str
    mass: str
    density: str
    density_factor: Decimal


METRIC = WoodUnits("mm", "m", "m2", "g", "kg/m³", Decimal(1))
IMPERIAL = WoodUnits("in", "ft", "ft2", "oz", "lb/ft³", POUND_PER_CUBIC_FOOT)
PLACES = 3

_used: ContextVar[WoodUnits] = ContextVar("wood_units", default=METRIC)


def wood_units() -> WoodUnits:
    """Return the units that this page, paper or form speaks in."""
    return _used.get()


@contextmanager
def measured_in(units: str) -> Iterator[None]:
    """Speak in the workshop's `units` for a while, as `timezone.override` does of days."""
    token = _used.set(IMPERIAL if units == Workshop.IMPERIAL else METRIC)
    try:
        yield
    finally:
        _used.reset(token)


def size_number(millimetres: Decimal) -> str:
    """Write a size as a bare number of the shop's unit, to a thousandth of it."""
    return plain_decimal(round(from_base(millimetres, wood_units().size), PLACES))


def size_words(*sizes: Decimal | None) -> str:
    """Write sizes in mm as `431 × 150 × 17.6 mm`; those not known are left out, as may be all."""
    known = [size_number(size) for size in sizes if size]
    return f"{' × '.join(known)} {unit_word(wood_units().size)}" if known else ""


def mass_words(grams: Decimal) -> str:
    """Write a mass in g with the shop's unit."""
    return f"{_mass_number(grams)} {unit_word(wood_units().mass)}"


def mass_numbers(grams: str) -> str:
    """Write masses kept as words in g, such as `434 434`, in the shop's unit; other words stay."""
    try:
        return " ".join(_mass_number(Decimal(word)) for word in grams.split())
    except ArithmeticError:
        return grams


def _mass_number(grams: Decimal) -> str:
    return plain_decimal(round(from_base(grams, wood_units().mass), PLACES))
