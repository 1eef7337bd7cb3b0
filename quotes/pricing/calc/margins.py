"""Markup (on cost) and margin (on price), always named: k on cost is k / (1 + k) on price."""

from decimal import Decimal

from inventory.base.calc.money import round_money
from quotes.base.calc.checks import HUNDRED, above_zero, not_below_zero
from quotes.base.calc.figures import CENT, plain


def margin_of_markup(markup_percent: Decimal) -> Decimal:
    """Return the margin on price, in percent, that a markup on cost gives; full precision."""
    not_below_zero(markup_percent, "The markup", "markup_percent")
    return HUNDRED * markup_percent / (HUNDRED + markup_percent)


def markup_words(percent: Decimal) -> str:
    """Name a markup with the margin that it is, to a hundredth of a percent."""
    margin = round_money(margin_of_markup(percent), CENT)
    return f"{plain(percent)} % markup, a margin of {plain(margin)} %,"


def price_per_hour(price: Decimal, bought: Decimal, hours: Decimal) -> Decimal:
    """Return what a net price pays for each hour once bought things (at cost) are paid for."""
    above_zero(hours, "The number of hours", "hours")
    return (price - bought) / hours
