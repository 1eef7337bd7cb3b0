"""Money: `Decimal` only, rounded at named steps only, and shared so that nothing is lost."""

from collections.abc import Sequence
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal
from itertools import accumulate, pairwise

from babel.core import get_global
from babel.numbers import get_currency_precision

from inventory.base.refusals import Refusal

STORED_PLACES = 3
"""Places kept in the database: enough for every ISO 4217 currency in daily use."""
LARGEST_AMOUNT = Decimal(10) ** 11
"""More than a workshop ever handles, and far below what the database can hold."""


def minor_unit_of(currency: str) -> Decimal:
    """Return the smallest amount of `currency` (ISO 4217), such as 0.01; source: Babel's CLDR."""
    return Decimal(1).scaleb(-min(get_currency_precision(currency), STORED_PLACES))


def is_currency(code: str) -> bool:
    """Say whether `code` is a three-letter code of ISO 4217 that Babel knows."""
    return code in get_global("all_currencies")


def check_whole_units(amount: Decimal, currency: str, field: str = "amount") -> None:
    """Raise Refusal for a fraction of the smallest amount of `currency`, such as half a cent."""
    smallest = minor_unit_of(currency)
    if amount % smallest:
        raise Refusal(
            f"{currency} goes in steps of {smallest}: {amount} is between two.", field=field
        )


def round_money(amount: Decimal, minor_unit: Decimal = Decimal("0.01")) -> Decimal:
    """Round half up to a whole number of `minor_unit`s: the only place where money is rounded."""
    return (amount / minor_unit).quantize(Decimal(1), rounding=ROUND_HALF_UP) * minor_unit


def in_home_money(amount: Decimal, rate: Decimal, minor_unit: Decimal) -> Decimal:
    """Turn foreign money into home money; `rate` is foreign money for one of home, as typed in.

    `minor_unit` is home money's: yen have no hundredth. Raises Refusal for a rate of 0 or less.
    """
    if not rate.is_finite() or rate <= 0:
        raise Refusal(
            "The exchange rate must be above 0: foreign currency to one of your own.", field="rate"
        )
    return round_money(amount / rate, minor_unit)


def round_up_to_step(amount: Decimal, step: Decimal) -> Decimal:
    """Return the next whole multiple of `step` at or above `amount`; a step of 0 leaves it."""
    if not step:
        return amount
    return (amount / step).quantize(Decimal(1), rounding=ROUND_CEILING) * step


def share_out(
    total: Decimal, weights: Sequence[Decimal | int], minor_unit: Decimal = Decimal("0.01")
) -> list[Decimal]:
    """Cut `total` into parts in proportion to `weights`; the parts add up to `total` exactly.

    Running totals are rounded, not parts, so no part is off by more than one `minor_unit`. `total`
    must be a whole number of `minor_unit`s. Raises ValueError on negative weights or none above 0.
    """
    if any(weight < 0 for weight in weights):
        raise ValueError("A share can't have a weight below 0.")
    whole = sum(weights, Decimal(0))
    if not whole:
        raise ValueError("At least one share needs a weight above 0.")
    if total % minor_unit:
        raise ValueError(f"{total} is not a whole number of {minor_unit}.")
    running = accumulate(weights, initial=Decimal(0))
    cuts = [round_money(total * weight / whole, minor_unit) for weight in running]
    return [after - before for before, after in pairwise(cuts)]
