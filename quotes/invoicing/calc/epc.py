"""The text of a payment code for bank transfers in euro, by EPC069-12 version 2.1."""

from dataclasses import dataclass
from decimal import Decimal

from stdnum import iso11649

from inventory.base.calc.official_numbers import check_bank_code, check_iban
from inventory.base.refusals import Refusal
from quotes.base.calc.figures import CENT

MOST_BYTES = 331
"""What a code may hold at error level M and 69 modules a side."""

LENGTHS = {
    "name": 70,
    "purpose": 4,
    "reference": 35,
    "text": 140,
    "information": 70,
}

WORDS = {
    "name": "The name of the account's holder",
    "purpose": "The purpose",
    "reference": "The structured reference",
    "text": "The text for the payee",
    "information": "The note to the payer",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Transfer:
    """A transfer to ask for: to whom, how much euro, with a structured reference or a text.

    Spaces in account number, bank code and reference are dropped. Raises Refusal, with the field,
    on anything the standard doesn't take.
    """

    name: str
    iban: str
    amount: Decimal
    bic: str = ""
    purpose: str = ""
    reference: str = ""
    text: str = ""
    information: str = ""

    def __post_init__(self) -> None:
        for field in ("iban", "bic", "reference"):
            object.__setattr__(self, field, _closed_up(getattr(self, field)))
        if not self.name.strip():
            raise Refusal("Give the name of the account's holder.", field="name")
        for field, most in LENGTHS.items():
            _check_text(field, getattr(self, field), most)
        check_iban(self.iban)
        if self.bic:
            check_bank_code(self.bic)
        _check_amount(self.amount)
        _check_reference(self.reference, self.text)


def payment_code_text(transfer: Transfer) -> str:
    """Return the lines to encode, in UTF-8, at error level M.

    Uses version 002, in which the bank code is optional. Raises Refusal above 331 bytes.
    """
    lines = [
        "BCD",
        "002",
        "1",
        "SCT",
        transfer.bic,
        transfer.name,
        transfer.iban,
        f"EUR{transfer.amount.quantize(CENT)}",
        transfer.purpose,
        transfer.reference,
        transfer.text,
        transfer.information,
    ]
    code = "\n".join(lines).rstrip("\n")
    if len(code.encode()) > MOST_BYTES:
        raise Refusal(
            f"The payment code would need {len(code.encode())} bytes; {MOST_BYTES} fit. "
            "Shorten the text or the note to the payer.",
            field="text",
        )
    return code


def _closed_up(text: str) -> str:
    return "".join(text.split()).upper()


def _check_text(field: str, text: str, most: int) -> None:
    if len(text) > most:
        raise Refusal(
            f"{WORDS[field]} has {len(text)} characters; {most} are allowed.", field=field
        )
    if any(not sign.isprintable() for sign in text):
        raise Refusal(f"{WORDS[field]} must be a single line of plain text.", field=field)


def _check_amount(amount: Decimal) -> None:
    if not CENT <= amount <= Decimal("999999999.99") or amount % CENT:
        raise Refusal(
            f"The amount is {amount}; a payment code takes 0.01 to 999,999,999.99 in whole cents.",
            field="amount",
        )


def _check_reference(reference: str, text: str) -> None:
    if reference and text:
        raise Refusal("Give a structured reference or a text, not both.", field="text")
    if reference.startswith("RF") and not iso11649.is_valid(reference):
        raise Refusal(
            f"The reference {reference} is not valid: its check digits are wrong.",
            field="reference",
        )
