"""Quantities: how a material is kept, its base unit, and the units a maker may type or see."""

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

QUANTITY_PLACES = 3
"""Thousandths of a base unit are the smallest quantity kept."""


@dataclass(frozen=True, slots=True)
class Unit:
    """One unit: its code, the word on a page, and how many base units it holds (exact)."""

    code: str
    word: str
    factor: Decimal


INCH_MM = Decimal("25.4")
BOARD_FOOT_MM3 = 144 * INCH_MM**3
POUND_PER_CUBIC_FOOT = Decimal("453.59237") / (12 * INCH_MM / 100) ** 3
"""In kg/m³ (g by dm³); NIST SP 811 app. B.8 rounds it to 16.018 46."""

_ONE = Decimal(1)

UNITS_BY_KIND: dict[str, tuple[Unit, ...]] = {
    "count": (
        Unit("ea", "each", _ONE),
        Unit("pair", "pair", Decimal(2)),
        Unit("doz", "dozen", Decimal(12)),
    ),
    "piece": (Unit("ea", "each", _ONE),),
    "length": (
        Unit("mm", "mm", _ONE),
        Unit("cm", "cm", Decimal(10)),
        Unit("m", "m", Decimal(1000)),
        Unit("in", "in", INCH_MM),
        Unit("ft", "ft", 12 * INCH_MM),
    ),
    "area": (
        Unit("cm2", "cm²", _ONE),
        Unit("m2", "m²", Decimal(10_000)),
        Unit("in2", "in²", INCH_MM**2 / 100),
        Unit("ft2", "ft²", 144 * INCH_MM**2 / 100),
    ),
    "volume": (
        Unit("ml", "ml", _ONE),
        Unit("l", "l", Decimal(1000)),
        Unit("m3", "m³", Decimal(1_000_000)),
        Unit("bf", "board feet", BOARD_FOOT_MM3 / 1000),
        Unit("floz", "US fl oz", Decimal("29.5735295625")),
    ),
    "mass": (
        Unit("g", "g", _ONE),
        Unit("kg", "kg", Decimal(1000)),
        Unit("oz", "oz", Decimal("28.349523125")),
        Unit("lb", "lb", Decimal("453.59237")),
    ),
}
"""Kind of quantity → its units, the base unit first. Factors: volume.md, NIST SP 811 app. B."""

_BY_CODE = {
    unit.code: (kind, unit)
    for kind, units in UNITS_BY_KIND.items()
    for unit in units
    if kind != "piece"
}


def base_unit(kind: str) -> str:
    """Return the code of the unit that quantities of this kind are stored in."""
    return UNITS_BY_KIND[kind][0].code


def unit_word(code: str) -> str:
    """Return the word for a unit code on a page, such as `m³` for `m3`."""
    return _BY_CODE[code][1].word


def to_base(value: Decimal, code: str) -> Decimal:
    """Turn `value` in unit `code` into base units of its kind, exactly."""
    return value * _BY_CODE[code][1].factor


def from_base(value: Decimal, code: str) -> Decimal:
    """Turn `value` in base units into unit `code`, at full precision."""
    return value / _BY_CODE[code][1].factor


def kind_of(code: str) -> str:
    """Return the kind of quantity that unit `code` measures. Raises KeyError if unknown."""
    return _BY_CODE[code][0]


def round_quantity(value: Decimal) -> Decimal:
    """Round half up to the smallest quantity kept, a thousandth of a base unit."""
    return value.quantize(Decimal(1).scaleb(-QUANTITY_PLACES), rounding=ROUND_HALF_UP)
