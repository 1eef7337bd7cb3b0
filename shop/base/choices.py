"""What a maker may choose from: currencies, countries and time zones by their official codes."""

from functools import cache
from zoneinfo import available_timezones

from babel.core import Locale
from babel.dates import LOCALTZ
from babel.numbers import get_territory_currencies

from inventory.base.countries import country_names

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
    """Return the countries and territories (ISO 3166-1), by name."""
    return sorted(country_names().items(), key=lambda choice: choice[1])


@cache
def time_zones() -> Choices:
    """Return the time zones that are named after a place, and UTC."""
    named = sorted(name for name in available_timezones() if "/" in name and "Etc/" not in name)
    return [("UTC", "UTC"), *((name, name.replace("_", " ")) for name in named)]


def zone_of_this_machine() -> str:
    """Return the time zone that this machine is set to, if it has a place's name; else UTC."""
    name = str(getattr(LOCALTZ, "key", ""))
    return name if (name, name.replace("_", " ")) in time_zones() else "UTC"
