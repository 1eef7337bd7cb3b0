"""Markup (on cost) and margin (on price), always named, and one turned into the other.

A markup of k on cost is a margin of k / (1 + k) on price; a margin of m is a markup of m / (1 - m).
"""

from decimal import Decimal

from inventory.calc.money import round_money
from quotes.calc.checks import HUNDRED, above_zero, not_below_zero, percent_below, percent_of
from quotes.calc.figures import CENT


def margin_of_markup(markup_percent: Decimal) -> Decimal:
    """Return the margin on price, in percent, that a markup on cost gives; full precision."""
    not_below_zero(markup_percent, "The markup", "markup_percent")
    return HUNDRED * markup_percent / (HUNDRED + markup_percent)


def markup_of_margin(margin_percent: Decimal) -> Decimal:
    """Return the markup on cost, in percent, that a margin on price needs; full precision."""
    percent_below(margin_percent, 100, "The margin", "margin_percent")
    return HUNDRED * margin_percent / (HUNDRED - margin_percent)


def price_at_markup(cost: Decimal, markup_percent: Decimal, unit: Decimal = CENT) -> Decimal:
    """Return cost and markup together, half up to `unit`."""
    not_below_zero(markup_percent, "The markup", "markup_percent")
    return round_money(percent_of(HUNDRED + markup_percent, cost), unit)


def price_at_margin(cost: Decimal, margin_percent: Decimal, unit: Decimal = CENT) -> Decimal:
    """Return the price of which `margin_percent` is left over `cost`, half up to `unit`."""
    percent_below(margin_percent, 100, "The margin", "margin_percent")
    return round_money(cost * HUNDRED / (HUNDRED - margin_percent), unit)


def markup_between(cost: Decimal, price: Decimal) -> Decimal:
    """Return the markup on `cost`, in percent, that `price` carries; below 0 for a loss."""
    above_zero(cost, "The cost", "cost")
    return HUNDRED * (price - cost) / cost


def margin_between(cost: Decimal, price: Decimal) -> Decimal:
    """Return the margin on `price`, in percent, that is left over `cost`; below 0 for a loss."""
    above_zero(price, "The price", "price")
    return HUNDRED * (price - cost) / price


def price_per_hour(price: Decimal, bought: Decimal, hours: Decimal) -> Decimal:
    """Return what a net price pays for each hour once bought things (at cost) are paid for."""
    above_zero(hours, "The number of hours", "hours")
    return (price - bought) / hours
