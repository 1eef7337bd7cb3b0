"""What a maker may choose from: currencies, countries and time zones by their official codes."""

from functools import cache
from zoneinfo import available_timezones

from babel.core import Locale
from babel.numbers import get_territory_currencies

Choices = list[tuple[str, str]]


@cache
def currencies() -> Choices:
    """Return the currencies that are legal tender somewhere today (ISO 4217), by code."""
    names = Locale("en").currencies
    codes = {
        code
        for country, _ in countries()
        for code in get_territory_currencies(country, tender=True)
    }
    return [(code, f"{code} {names.get(code, '')}".strip()) for code in sorted(codes)]


@cache
def countries() -> Choices:
    """Return the countries and territories (ISO 3166), by name."""
    named = [(str(code), str(name)) for code, name in Locale("en").territories.items()]
    real = [one for one in named if len(one[0]) == 2 and one[0].isalpha() and one[0] != "ZZ"]
    return sorted(real, key=lambda choice: choice[1])


@cache
def time_zones() -> Choices:
    """Return the time zones that are named after a place, and UTC."""
    named = sorted(name for name in available_timezones() if "/" in name and "Etc/" not in name)
    return [("UTC", "UTC"), *((name, name.replace("_", " ")) for name in named)]
