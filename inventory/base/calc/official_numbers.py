"""Account and tax numbers that a maker types: refused when their own check digits don't hold."""

import re

from stdnum import bic, iban, numdb
from stdnum.ch import vat as swiss
from stdnum.eu import vat as european
from stdnum.gb import vat as british
from stdnum.no import mva as norwegian

from inventory.base.refusals import Refusal

OF_COUNTRY = {"CH": swiss, "GB": british, "NO": norwegian}
"""Countries outside the European Union whose tax numbers are checked; others pass as typed."""


def check_account_number(text: str, country: str = "", field: str = "iban") -> None:
    """Refuse an account number that ought to be an IBAN (ISO 13616) and is none.

    It ought to be one where it is written like one, and in a `country` (ISO 3166) that has them.
    """
    if not re.match(r"[A-Z]{2}\d\d", text.strip().upper()) and not _has_ibans(country):
        return
    check_iban(text, field)


def check_iban(text: str, field: str = "iban") -> None:
    """Refuse what is not an IBAN, by its country's length and its check digits."""
    if not iban.is_valid(text):
        raise Refusal(
            f"“{text.strip()}” is not an account number (IBAN): a digit or letter is wrong or "
            "missing. It begins with two letters and two digits, as on a bank statement.",
            field=field,
        )


def check_bank_code(text: str, field: str = "bic") -> None:
    """Refuse what is not a bank code (ISO 9362)."""
    if not bic.is_valid(text):
        raise Refusal(
            f"“{text.strip()}” is not a bank code (BIC) of 8 or 11 characters.", field=field
        )


def check_tax_number(text: str, country: str = "", field: str = "tax_number") -> None:
    """Refuse a tax number that can't be one, as far as the number or its `country` says how.

    That it exists is for the authority to say.
    """
    prefix = text.strip()[:2].upper()
    if prefix.lower() in {*european.MEMBER_STATES, "el"}:
        is_one = european.is_valid(text)
    elif is_member_state(country):
        is_one = False
    elif country in OF_COUNTRY:
        is_one = OF_COUNTRY[country].is_valid(text)
    else:
        return
    if not is_one:
        begins = _prefix_of(country) if is_member_state(country) else ""
        hint = f" It begins with {begins}." if begins and prefix != begins else ""
        raise Refusal(
            f"“{text.strip()}” is not a tax number: a digit is wrong or missing.{hint}", field=field
        )


def is_member_state(country: str) -> bool:
    """Say whether `country` (ISO 3166) is one of the European Union, by the list in stdnum."""
    return country.lower() in european.MEMBER_STATES


def _has_ibans(country: str) -> bool:
    return bool(country) and bool(numdb.get("iban").info(country)[0][1])


def _prefix_of(country: str) -> str:
    return "EL" if country == "GR" else country
