"""The price of a change after acceptance: its hours and what is bought, at the quote's rates."""

from decimal import Decimal

from inventory.base.calc.money import round_money
from quotes.base.calc.checks import percent_of
from quotes.base.calc.figures import CENT, Figure, added_up, plain
from quotes.pricing.calc.basis import BoughtLine
from quotes.pricing.calc.price_lines import bought


def change_price(
    *,
    hours: Decimal,
    cost: Decimal,
    shop_rate: Decimal,
    markup_percent: Decimal,
    minor_unit: Decimal = CENT,
) -> Figure:
    """Return the net price of a change in home money; hours below 0 are work left out.

    Neither contingency nor price step: those are in the price that was agreed.
    """
    labour = Figure(
        name="Labour",
        amount=round_money(hours * shop_rate, minor_unit),
        how=f"{plain(hours)} h × {plain(shop_rate)}",
    )
    line = BoughtLine(name="Materials and outside work", cost=cost, markup_percent=markup_percent)
    return added_up("Calculated", [labour, *bought("", "", [line], minor_unit).parts])


def in_clients_money(
    amount: Decimal, rate: Decimal, buffer_percent: Decimal, minor_unit: Decimal = CENT
) -> Decimal:
    """Return home money at the quote's rate with its buffer, half up to `minor_unit`."""
    converted = round_money(amount * rate, minor_unit)
    return converted + round_money(percent_of(buffer_percent, converted), minor_unit)
