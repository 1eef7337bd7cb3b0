"""The own line that brings a price to what the maker asks for."""

from dataclasses import dataclass, replace
from decimal import Decimal

from inventory.calc.money import round_money
from inventory.refusals import Refusal
from quotes.calc.basis import OwnLine, PriceBasis, PricingPolicy
from quotes.calc.figures import CENT, NOTHING, plain
from quotes.calc.pricing import PriceSheet, build_price

MOST_TRIES = 6
FAR = Decimal(1000)
"""Over so much money the steps of rounding are nothing beside the rise of the price."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedPrice:
    """An own line, and the last cents that no line reaches. Both are net."""

    line: Decimal
    last_cents: Decimal = NOTHING


def ask_price(
    basis: PriceBasis, policy: PricingPolicy, wanted: Decimal, unit: Decimal = CENT
) -> AskedPrice:
    """Return what to add to `basis` so that its list price is exactly `wanted`.

    One cent more of a line can raise the price by several, since rush, fees and a dealer's
    discount are charged on it: what is then missing are last cents, to which none is charged.
    Raises Refusal on a price that is under what the fees alone come to.
    """
    bare = _with_line(basis, policy, NOTHING, unit)
    if bare.price == wanted:
        return AskedPrice(line=NOTHING)
    try:
        return _search(basis, policy, wanted, unit)
    except Refusal:
        raise Refusal(
            f"{plain(wanted)} is less than what the fees alone come to. Ask for more.",
            field="amount",
        ) from None


def _search(basis: PriceBasis, policy: PricingPolicy, wanted: Decimal, unit: Decimal) -> AskedPrice:
    """Step near the line by how much the price rises with it, then go on cent by cent."""
    bare = _with_line(basis, policy, NOTHING, unit)
    rise = (_with_line(basis, policy, FAR, unit).subtotal - bare.subtotal) / FAR
    line, sheet = NOTHING, bare
    for _ in range(MOST_TRIES):
        line += round_money((wanted - sheet.subtotal) / rise, unit)
        sheet = _with_line(basis, policy, line, unit)
        if sheet.price == wanted:
            return AskedPrice(line=line)
    while sheet.subtotal > wanted:
        line -= unit
        sheet = _with_line(basis, policy, line, unit)
    while (more := _with_line(basis, policy, line + unit, unit)).subtotal <= wanted:
        line, sheet = line + unit, more
    return AskedPrice(line=line, last_cents=wanted - sheet.subtotal)


def _with_line(
    basis: PriceBasis, policy: PricingPolicy, line: Decimal, unit: Decimal
) -> PriceSheet:
    own = OwnLine(name="Price set by hand", amount=line)
    return build_price(replace(basis, own_lines=(*basis.own_lines, own)), policy, unit)
