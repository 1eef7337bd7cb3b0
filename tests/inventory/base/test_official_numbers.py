"""Numbers with check digits: account numbers by ISO 13616, tax numbers by their countries' rules.

BE72… and DE71… are the samples of published payment codes; tax numbers are the examples of the
library `python-stdnum` or computed by its rules.
"""

import pytest

from inventory.base.calc.official_numbers import (
    check_account_number,
    check_bank_code,
    check_tax_number,
)
from inventory.base.refusals import Refusal


@pytest.mark.parametrize(
    ("number", "country"),
    [
        ("BE72 0000 0000 1616", "BE"),
        ("de71110220330123456789", ""),
        ("021000021 123456", "US"),
        ("06-0201-0123456-00", ""),
    ],
    ids=["with spaces", "small letters", "a country without IBANs", "country not said"],
)
def test_an_account_number_is_taken(number, country):
    check_account_number(number, country)


@pytest.mark.parametrize(
    ("number", "country"),
    [
        ("BE72 0000 0000 1617", "BE"),
        ("BE27 0000 0000 1616", ""),
        ("BE72 0000 0001 616", "US"),
        ("123456789", "NL"),
    ],
    ids=["wrong digit", "digits swapped", "a zero dropped", "no IBAN where there are"],
)
def test_a_mistyped_account_number_is_refused(number, country):
    with pytest.raises(Refusal, match="is not an account number") as refused:
        check_account_number(number, country)
    assert refused.value.field == "iban"


def test_a_bank_code_has_8_or_11_signs():
    check_bank_code("BPOTBEB1")
    with pytest.raises(Refusal, match="not a bank code"):
        check_bank_code("BPOTBEB")


@pytest.mark.parametrize(
    ("number", "country"),
    [
        ("NL123456782B90", "NL"),
        ("BE 0123.456.749", ""),
        ("de 136,695 976", "DE"),
        ("EL094259216", "GR"),
        ("GB980780684", "GB"),
        ("CHE-107.787.577 IVA", "CH"),
        ("NO 995 525 828 MVA", "NO"),
        ("12-3456789", "US"),
        ("anything", ""),
    ],
)
def test_a_tax_number_is_taken(number, country):
    check_tax_number(number, country)


@pytest.mark.parametrize(
    ("number", "country", "hint"),
    [
        ("NL123456783B90", "NL", "wrong or missing"),
        ("BE0123456748", "", "wrong or missing"),
        ("0123456749", "BE", "It begins with BE"),
        ("094259216", "GR", "It begins with EL"),
        ("GB980780685", "GB", "wrong or missing"),
    ],
    ids=[
        "wrong digit",
        "country not said",
        "no letters",
        "letters of its own",
        "outside the union",
    ],
)
def test_a_mistyped_tax_number_is_refused(number, country, hint):
    with pytest.raises(Refusal, match=hint) as refused:
        check_tax_number(number, country)
    assert refused.value.field == "tax_number"
