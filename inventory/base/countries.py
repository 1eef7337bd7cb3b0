"""Countries by their ISO 3166-1 codes, named by Babel."""

from functools import cache

from babel.core import Locale

NO_COUNTRIES = {"AC", "CP", "CQ", "DG", "EA", "EU", "EZ", "IC", "QO", "TA", "UN", "XA", "XB", "ZZ"}
"""Unions, parts of countries and test codes: Babel names them, ISO 3166-1 does not assign them."""


@cache
def country_names() -> dict[str, str]:
    """Return the English name of every country by its two letters, Kosovo's customary XK too."""
    return {
        code: str(name)
        for code, name in Locale("en").territories.items()
        if len(code) == 2 and code.isalpha() and code not in NO_COUNTRIES
    }


def is_country(code: str) -> bool:
    """Say whether `code` is a two-letter country code."""
    return code in country_names()


def country_name(code: str) -> str:
    """Return the English name of a country; the code itself where there is none."""
    return country_names().get(code, code)
