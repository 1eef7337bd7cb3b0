"""Countries by their ISO 3166 codes, as Babel knows them."""

from babel.core import Locale


def is_country(code: str) -> bool:
    """Say whether `code` is a two-letter country code."""
    return len(code) == 2 and code.isalpha() and code in Locale("en").territories


def country_name(code: str) -> str:
    """Return the English name of a country; the code itself where there is none."""
    return str(Locale("en").territories.get(code, code))
