"""Sentences for numbers and codes that can't be what was meant."""

from collections.abc import Mapping
from decimal import Decimal

from inventory.base.calc.money import is_currency
from inventory.base.refusals import Refusal

HUNDRED = Decimal(100)
NOT_NEGATIVE = frozenset(
    {
        "shop_rate", "material_markup", "contingency", "rush", "fee_percent", "fee_fixed",
        "dealer_discount", "price_step", "shipping", "tax_rate", "bought_tax_rate",
        "shipping_tax_rate", "currency_buffer", "client_step",
    }
)  # fmt: skip
"""Figures of a quote and of the policy that are 0 or more."""


def check_not_negative(figures: Mapping[str, Decimal | None]) -> None:
    """Refuse the first of `figures` that is below 0; their names are those of the fields."""
    for name, value in sorted(figures.items()):
        if value is not None:
            not_below_zero(value, f"The {name.replace('_', ' ')}", name)


def percent_of(percent: Decimal, amount: Decimal) -> Decimal:
    """Return `percent` per cent of `amount` at full precision."""
    return amount * percent / HUNDRED


def not_below_zero(value: Decimal, what: str, field: str) -> None:
    """Refuse a negative `value`; `what` opens the sentence, such as "The shop rate"."""
    if not value.is_finite() or value < 0:
        raise Refusal(f"{what} is {value}; it must be 0 or more.", field=field)


def above_zero(value: Decimal, what: str, field: str) -> None:
    """Refuse a `value` that is 0 or less."""
    if not value.is_finite() or value <= 0:
        raise Refusal(f"{what} is {value}; it must be more than 0.", field=field)


def percent_below(value: Decimal, limit: int, what: str, field: str) -> None:
    """Refuse a percentage outside 0 up to, but not including, `limit`."""
    if not value.is_finite() or not 0 <= value < limit:
        raise Refusal(
            f"{what} is {value} %; it must be 0 % or more and below {limit} %.", field=field
        )


def percent_up_to_100(value: Decimal, what: str, field: str) -> None:
    """Refuse a percentage outside 0 to 100."""
    if not value.is_finite() or not 0 <= value <= HUNDRED:
        raise Refusal(f"{what} is {value} %; it must lie between 0 % and 100 %.", field=field)


def whole_units(step: Decimal, minor_unit: Decimal, field: str) -> None:
    """Refuse a price step that is not a whole number, 0 or more, of the currency's minor unit."""
    not_below_zero(step, "The price step", field)
    if step % minor_unit:
        raise Refusal(
            f"The price step is {step}; it must be a multiple of {minor_unit}.", field=field
        )


def check_currency(code: str) -> None:
    """Refuse a code that ISO 4217 doesn't know."""
    if not is_currency(code):
        raise Refusal(
            f"“{code}” is not a currency code. Give three letters, such as EUR.", field="currency"
        )
