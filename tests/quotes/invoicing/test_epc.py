from dataclasses import replace
from decimal import Decimal

import pytest

from inventory.base.refusals import Refusal
from quotes.invoicing.calc.epc import Transfer, payment_code_text

# Source: a sample of EPC069-12 payment codes in public encyclopedias, amount in its newer form,
# the payee replaced by an invented one.
SAMPLE = """BCD
001
1
SCT
BPOTBEB1
Turnip Hollow
BE72000000001616
EUR1.00
CHAR

Urgency fund
Sample EPC QR code"""

# Source: a second public sample of EPC069-12; its amount is written EUR12.3 there.
SECOND = Transfer(
    name="Posy Thimblewäck",
    iban="DE71110220330123456789",
    amount=Decimal("12.3"),
    bic="BHBLDEHHXXX",
    purpose="GDDS",
    reference="RF18539007547034",
)

PLAIN = Transfer(name="Posy Thimblewick", iban="BE72000000001616", amount=Decimal("1130.40"))


def test_the_public_sample_but_for_its_version():
    transfer = Transfer(
        name="Turnip Hollow",
        iban="BE72 0000 0000 1616",
        amount=Decimal(1),
        bic="BPOTBEB1",
        purpose="CHAR",
        text="Urgency fund",
        information="Sample EPC QR code",
    )
    assert payment_code_text(transfer) == SAMPLE.replace("001\n1\n", "002\n1\n")


def test_the_sample_with_a_structured_reference():
    assert payment_code_text(SECOND).split("\n") == [
        "BCD",
        "002",
        "1",
        "SCT",
        "BHBLDEHHXXX",
        "Posy Thimblewäck",
        "DE71110220330123456789",
        "EUR12.30",
        "GDDS",
        "RF18539007547034",
    ]


def test_trailing_empty_lines_are_left_out():
    assert payment_code_text(PLAIN).endswith("\nEUR1130.40")
    assert payment_code_text(PLAIN).split("\n")[4] == ""


@pytest.mark.parametrize(
    ("fields", "field", "sentence"),
    [
        ({"name": " "}, "name", "Give the name"),
        ({"name": "x" * 71}, "name", "has 71 characters; 70 are allowed"),
        ({"name": "Posy\nEUR9999.00"}, "name", "single line"),
        ({"iban": ""}, "iban", "is not an account number"),
        ({"iban": "BE27000000001616"}, "iban", "a digit or letter is wrong"),
        ({"iban": "BE72000000001617"}, "iban", "a digit or letter is wrong"),
        ({"iban": "BE72٠00000001616"}, "iban", "not an account number"),
        ({"bic": "BPOT"}, "bic", "not a bank code"),
        ({"amount": Decimal(0)}, "amount", "0.01 to 999,999,999.99"),
        ({"amount": Decimal("0.005")}, "amount", "0.01 to 999,999,999.99"),
        ({"amount": Decimal("1.005")}, "amount", "whole cents"),
        ({"amount": Decimal("1000000000")}, "amount", "The amount is 1000000000"),
        ({"purpose": "TOOLS"}, "purpose", "has 5 characters"),
        ({"reference": "RF18539007547035"}, "reference", "check digits are wrong"),
        ({"reference": "RF18539007547034", "text": "Deposit"}, "text", "not both"),
        ({"text": "x" * 141}, "text", "140 are allowed"),
        ({"information": "x" * 71}, "information", "70 are allowed"),
    ],
)
def test_what_the_standard_does_not_take_is_refused(fields, field, sentence):
    with pytest.raises(Refusal, match=sentence) as refused:
        replace(PLAIN, **fields)
    assert refused.value.field == field


@pytest.mark.parametrize("amount", ["0.01", "999999999.99"])
def test_the_least_and_the_most_that_can_be_asked_for(amount):
    assert payment_code_text(replace(PLAIN, amount=Decimal(amount))).endswith(f"\nEUR{amount}")


def test_a_code_of_just_the_bytes_allowed_is_taken():
    wordy = replace(PLAIN, name="ä" * 70, text="t" * 109 + "ö" * 18)
    assert len(payment_code_text(wordy).encode()) == 331
    with pytest.raises(Refusal, match="332 bytes; 331 fit"):
        payment_code_text(replace(wordy, text=wordy.text + "t"))


def test_a_code_that_would_be_too_long_in_bytes_is_refused():
    wordy = replace(PLAIN, name="ä" * 70, text="ö" * 100)
    with pytest.raises(Refusal, match="bytes; 331 fit"):
        payment_code_text(wordy)


def test_a_reference_of_the_makers_own_is_taken():
    assert payment_code_text(replace(PLAIN, reference="I 2027 001")).endswith("\nI2027001")
