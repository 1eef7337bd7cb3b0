"""The own line that brings a price to what the maker asks for."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from inventory.base.calc.money import round_money
from inventory.base.refusals import Refusal
from quotes.base.calc.figures import CENT, NOTHING, plain
from quotes.pricing.calc.basis import OwnLine, PriceBasis, PricingFigures
from quotes.pricing.calc.pricing import PriceSheet, build_price
from quotes.pricing.calc.tax import TaxableLine, taxed_from_gross
from quotes.pricing.calc.tax_document import tax_document

MOST_TRIES = 6
FAR = Decimal(1000)
"""Over so much money the steps of rounding are nothing beside the rise of the price."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedPrice:
    """An own line, and the last cents that no line reaches. Both are net."""

    line: Decimal
    last_cents: Decimal = NOTHING


def net_of_asked(
    gross: Decimal,
    policy: PricingFigures,
    beside: Sequence[TaxableLine],
    minor_unit: Decimal = CENT,
) -> Decimal:
    """Return the net list price by which what the client pays is more by `gross`, to the unit.

    `beside` is what stands on the paper with the instrument: taxed together, it may move the odd
    cent. With `step_with_tax` a multiple of the step is always met, by the paper's rounding.
    Raises Refusal that names the nearest amounts where no net gives `gross`: at 20 % one amount in
    six has none.
    """
    first = taxed_from_gross(gross, policy.tax, minor_unit).net
    if policy.step_with_tax:
        beside = ()
        if policy.price_step and not gross % policy.price_step:
            return first
    others = tax_document(beside, minor_unit=minor_unit).gross if beside else NOTHING
    # Rounding to the unit and back can miss by one on either side, never by two.
    for net in (first, first - minor_unit, first + minor_unit):
        instrument = TaxableLine(name="Instrument", net=net, rate=policy.tax)
        if tax_document([instrument, *beside], minor_unit=minor_unit).gross == others + gross:
            return net
    raise Refusal(
        f"No net price gives {gross} gross at {policy.tax.words}. "
        f"Use {gross - minor_unit} or {gross + minor_unit}.",
        field="amount",
    )


def ask_price(
    basis: PriceBasis, policy: PricingFigures, wanted: Decimal, minor_unit: Decimal = CENT
) -> AskedPrice:
    """Return what to add to `basis` so that its list price is exactly `wanted`.

    One cent more of a line can raise the price by several, since rush, fees and a dealer's
    discount are charged on it: what is then missing are last cents, to which none is charged.
    Raises Refusal on a price that is under what the fees alone come to.
    """
    bare = _with_line(basis, policy, NOTHING, minor_unit)
    if bare.price == wanted:
        return AskedPrice(line=NOTHING)
    try:
        return _search(basis, policy, wanted, minor_unit)
    except Refusal:
        raise Refusal(
            f"{plain(wanted)} does not cover the fees. Give a higher price.",
            field="amount",
        ) from None


def _search(
    basis: PriceBasis, policy: PricingFigures, wanted: Decimal, minor_unit: Decimal
) -> AskedPrice:
    """Step near the line by how much the price rises with it, then go on cent by cent."""
    bare = _with_line(basis, policy, NOTHING, minor_unit)
    rise = (_with_line(basis, policy, FAR, minor_unit).subtotal - bare.subtotal) / FAR
    line, sheet = NOTHING, bare
    for _ in range(MOST_TRIES):
        line += round_money((wanted - sheet.subtotal) / rise, minor_unit)
        sheet = _with_line(basis, policy, line, minor_unit)
        if sheet.price == wanted:
            return AskedPrice(line=line)
    while sheet.subtotal > wanted:
        line -= minor_unit
        sheet = _with_line(basis, policy, line, minor_unit)
    while (more := _with_line(basis, policy, line + minor_unit, minor_unit)).subtotal <= wanted:
        line, sheet = line + minor_unit, more
    return AskedPrice(line=line, last_cents=wanted - sheet.subtotal)


def _with_line(
    basis: PriceBasis, policy: PricingFigures, line: Decimal, minor_unit: Decimal
) -> PriceSheet:
    own = OwnLine(name="Price set by hand", amount=line)
    return build_price(replace(basis, own_lines=(*basis.own_lines, own)), policy, minor_unit)
