"""Sizes, masses and densities of wood on a page, in the units that the shop measures in."""

from decimal import Decimal
from typing import Any

from django import template
from django.utils.safestring import SafeString

from inventory.base.calc.units import from_base, to_base, unit_word
from inventory.base.wood_units import PLACES, mass_numbers, size_words, wood_units
from inventory.templatetags.figures import NOTHING, Number, quantity

register = template.Library()


@register.simple_tag
def size(*millimetres: Decimal | None) -> str:
    """Set the sizes of a piece, such as `431 × 150 × 17.6 mm`; a dash where none is known."""
    return size_words(*(each for each in millimetres if isinstance(each, Decimal))) or NOTHING


@register.simple_tag
def length(millimetres: Number | None, places: int = 3) -> SafeString:
    """Set one length with its unit, to `places` decimals of a mm or to a thousandth of an inch."""
    unit = wood_units().size
    return quantity(millimetres, unit, stored=True, places=_places(unit, places))


@register.simple_tag
def much(value: Decimal, unit: str) -> SafeString:
    """Set a long length or an area, given in m or m²."""
    shown = wood_units().long if unit == "m" else wood_units().area
    return quantity(to_base(value, unit), shown, stored=True)


@register.simple_tag
def length_number(millimetres: Decimal, places: int) -> str:
    """Set one length as a number with all its decimals, for a column that names the unit."""
    unit = wood_units().size
    return f"{from_base(millimetres, unit):.{_places(unit, places)}f}"


@register.simple_tag
def mass(grams: Number | None) -> SafeString:
    """Set a mass with its unit."""
    return quantity(grams, wood_units().mass, stored=True)


@register.simple_tag
def masses(grams: str) -> str:
    """Set the masses of the parts of a set, kept as words in g."""
    return f"{mass_numbers(grams)} {mass_unit()}"


@register.simple_tag
def density(kilograms: Any) -> SafeString:
    """Set a density, given in kg/m³."""
    units = wood_units()
    shown = kilograms / units.density_factor if isinstance(kilograms, Decimal) else None
    return quantity(shown, units.density, places=1)


@register.simple_tag
def size_unit() -> str:
    """Name the unit of sizes."""
    return unit_word(wood_units().size)


@register.simple_tag
def mass_unit() -> str:
    """Name the unit of masses."""
    return unit_word(wood_units().mass)


def _places(unit: str, places: int) -> int:
    return PLACES if unit == "in" else places
