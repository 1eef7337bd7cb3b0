"""Codes that a maker types: refused when no standard knows them."""

from inventory.calc.money import is_currency
from inventory.refusals import Refusal


def check_currency(code: str) -> None:
    """Refuse a code that ISO 4217 doesn't know."""
    if not is_currency(code):
        raise Refusal(
            f"“{code}” is not a currency code; give three letters such as EUR.", field="currency"
        )
