"""A price built up step by step, each step a figure that opens to what it was made from.

Rounding happens at these named steps only, half up to the currency's minor unit:

- a line: each stage's labour, each material's cost, each bought thing's cost;
- a markup: once on the sum of the materials that carry the same percentage, so that lines are
  shown at cost and the markup is one line; it is then shared among the families;
- a percentage of a sum (contingency, rush, dealer's discount) and a fee;
- the price step, upwards, before the dealer's discount is taken off, before shipping and what is
  sold beside the instrument, and before tax, unless it is the price with tax that goes up;
- the tax of each rate.

Every total is the sum of the lines shown.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from inventory.base.calc.money import round_money, round_up_to_step
from inventory.base.refusals import Refusal
from quotes.base.calc.checks import percent_of, whole_units
from quotes.base.calc.figures import (
    CENT,
    NOTHING,
    Figure,
    added_up,
    amount_of,
    find,
    money_in_words,
    plain,
    total,
)
from quotes.pricing.calc.basis import PriceBasis, PricingFigures
from quotes.pricing.calc.contingency import (
    ExpectedFailures,
    FailureRisk,
    expect_failures,
    share_of_labour,
)
from quotes.pricing.calc.fees import dealer_discount, fee_to_add, list_price
from quotes.pricing.calc.price_lines import bought, labour, materials, own_line
from quotes.pricing.calc.tax import TaxableLine, TaxRate, taxed_from_gross, taxed_from_net
from quotes.pricing.calc.tax_document import TaxedDocument, tax_document

CHOSEN = "choice:"
"""How the keys of options begin that a client chose."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceSheet:
    """A price and everything behind it, for the maker's eyes.

    `build_up` comes to `subtotal`; `rounding` and the options that a client chose bring it to
    `price`; what else is among the `additions` (dealer's discount, what is sold beside it,
    shipping) makes it `net`; `document` puts the tax on. Raises ValueError when the document's net
    is not the sum of the steps.
    """

    hours: Decimal
    build_up: tuple[Figure, ...]
    rounding: Figure
    additions: tuple[Figure, ...]
    document: TaxedDocument

    def __post_init__(self) -> None:
        if self.net != self.document.net:
            raise ValueError(f"The steps come to {self.net} net, not {self.document.net}.")

    @property
    def steps(self) -> tuple[Figure, ...]:
        """Every step from labour to shipping, in order; together they are `net`."""
        return (*self.build_up, self.rounding, *self.additions)

    @property
    def subtotal(self) -> Decimal:
        """The price before it goes up to the step."""
        return total(self.build_up)

    @property
    def chosen(self) -> tuple[Figure, ...]:
        """Options that a client switched, each at the price that was frozen for it."""
        return tuple(figure for figure in self.additions if figure.key.startswith(CHOSEN))

    @property
    def after_price(self) -> tuple[Figure, ...]:
        """What is added to the instrument's price or taken off it."""
        return tuple(figure for figure in self.additions if figure not in self.chosen)

    @property
    def price(self) -> Decimal:
        """The instrument's price: net, chosen options in it, without shipping and what is beside.

        A list price where a dealer's discount is among what follows.
        """
        return self.subtotal + self.rounding.amount + total(self.chosen)

    @property
    def beside_instruments(self) -> tuple[Figure, ...]:
        """What is paid beside all instruments: things sold beside them, and shipping."""
        return tuple(figure for figure in self.additions if figure.key in {"beside", "shipping"})

    @property
    def own_net(self) -> Decimal:
        """What is paid for the instrument, net: its price with a dealer's discount off."""
        return self.price + self.amount("discount")

    @property
    def net(self) -> Decimal:
        """What the client pays before tax, shipping in it."""
        return self.price + total(self.after_price)

    @property
    def tax(self) -> Decimal:
        """The tax of all rates."""
        return self.document.tax

    @property
    def gross(self) -> Decimal:
        """What the client pays."""
        return self.document.due

    def find(self, key: str) -> Figure | None:
        """Return the figure with this key at any depth, or None."""
        return find(self.steps, key)

    def cost_of(self, key: str) -> Decimal:
        """Return what the bought lines under this key cost, without their markup."""
        found = self.find(key)
        lines = found.parts if found else ()
        return total(line.parts[0] if line.parts else line for line in lines)

    @property
    def bought(self) -> Decimal:
        """What is bought for the instrument, at cost: materials, outside work, case and packing.

        Without what options need that a client chose: `Offer.bought` has it.
        """
        return self.amount("materials-cost") + self.cost_of("outside") + self.cost_of("packing")

    def amount(self, key: str) -> Decimal:
        """Return the amount of the figure with this key, 0 where there is none."""
        return amount_of(self.steps, key)


def build_price(
    basis: PriceBasis, policy: PricingFigures, minor_unit: Decimal = CENT
) -> PriceSheet:
    """Price `basis` by `policy`; `minor_unit` is the currency's minor unit.

    Steps that come to nothing and open to nothing are left out, save labour and materials. Refuses
    own lines that give away more than everything else comes to, and a step finer than `minor_unit`.
    """
    whole_units(policy.price_step, minor_unit, "price_step")
    shipping = bought("shipping", "Shipping", basis.shipping, minor_unit)
    further = added_up("Further instruments", (one.figure for one in basis.further), key="further")
    beside = bought("beside", "Sold beside the instrument", basis.beside, minor_unit)
    goods = (*_instruments(basis), *_goods(basis, beside, shipping, policy))
    work = _work(basis, policy, minor_unit)
    if total(work) < 0:
        raise Refusal(f"The lines add up to {total(work)}; a price can't be below 0.")
    rush = _percent_step("rush", "Rush surcharge", policy.rush_percent, total(work), minor_unit)
    fee = _fee(total(work) + rush.amount, goods, policy, minor_unit)
    dealer = _dealer_allowance(total(work) + rush.amount + fee.amount, policy, minor_unit)
    last = added_up(
        "Last cents", (own_line(each, minor_unit) for each in basis.last_cents), key="last"
    )
    build_up = (*work, *_present(rush, fee, dealer, last))
    price = _up_to_step(total(build_up), policy, minor_unit)
    discount = _dealer_discount(price, policy, minor_unit)
    return PriceSheet(
        hours=sum((stage.hours for stage in basis.stages), NOTHING),
        build_up=build_up,
        rounding=_rounding(total(build_up), price, policy, minor_unit),
        additions=_present(discount, further, beside, shipping),
        document=_document((total(build_up), price), discount, goods, policy, minor_unit),
    )


def _work(basis: PriceBasis, policy: PricingFigures, minor_unit: Decimal) -> tuple[Figure, ...]:
    worked = labour(basis.stages, policy.shop_rate, minor_unit)
    return (
        worked,
        materials(basis.materials, minor_unit),
        *_present(
            bought("outside", "Outside work", basis.outside_work, minor_unit),
            added_up(
                "Extra lines", (own_line(line, minor_unit) for line in basis.own_lines), key="own"
            ),
            _contingency(worked.amount, basis.failures, policy, minor_unit),
            bought("packing", "Case and packing", basis.packing, minor_unit),
        ),
    )


def _contingency(
    worked: Decimal, failures: tuple[FailureRisk, ...], policy: PricingFigures, minor_unit: Decimal
) -> Figure:
    share = _percent_step(
        "contingency-percent", "Share of labour", policy.contingency_percent, worked, minor_unit
    )
    expected = expect_failures(failures, policy.shop_rate, minor_unit)
    parts = (*_present(share), *expected.lines)
    return added_up(
        "Contingency", parts, key="contingency", how=_spread(expected, worked, minor_unit)
    )


def _spread(expected: ExpectedFailures, worked: Decimal, minor_unit: Decimal) -> str:
    if not expected.lines:
        return ""
    percent = round_money(share_of_labour(expected.amount, worked), Decimal("0.1"))
    spread = money_in_words(expected.spread, minor_unit)
    return f"on average, ± {spread}; {plain(percent)} % of labour"


def _percent_step(
    key: str, name: str, percent: Decimal, base: Decimal, minor_unit: Decimal
) -> Figure:
    amount = round_money(percent_of(percent, base), minor_unit)
    how = f"{plain(percent)} % of {money_in_words(base, minor_unit)}"
    return Figure(name=name, amount=amount, how=how, key=key)


def _instruments(basis: PriceBasis) -> Iterable[TaxableLine]:
    for one in basis.further:
        yield TaxableLine(name=one.name, net=one.figure.amount, rate=one.tax, with_tax=one.with_tax)


def _goods(
    basis: PriceBasis, beside: Figure, shipping: Figure, policy: PricingFigures
) -> tuple[TaxableLine, ...]:
    """What stands on the paper beside the instrument, each at its own rate."""
    lines = [
        TaxableLine(name=figure.name, net=figure.amount, rate=line.tax, with_tax=line.with_tax)
        for line, figure in zip(basis.beside, beside.parts, strict=True)
    ]
    if shipping.amount:
        rate = policy.shipping_tax or policy.tax
        typed = basis.shipping[0].with_tax if len(basis.shipping) == 1 else None
        lines.append(
            TaxableLine(name=shipping.name, net=shipping.amount, rate=rate, with_tax=typed)
        )
    return tuple(lines)


def _fee(
    keep: Decimal, goods: Iterable[TaxableLine], policy: PricingFigures, minor_unit: Decimal
) -> Figure:
    nets: dict[TaxRate, Decimal] = {policy.tax: NOTHING}
    for line in goods:
        nets[line.rate] = nets.get(line.rate, NOTHING) + line.net
    # Goods at the instrument's own rate are taxed in one sum with it, so they are kept with it.
    together = nets.pop(policy.tax)
    apart = sum(
        (taxed_from_net(net, rate, minor_unit).gross for rate, net in nets.items()), NOTHING
    )
    fee = policy.fee
    fixed, kept = (
        money_in_words(fee.fixed, minor_unit),
        keep + together + sum(nets.values(), NOTHING),
    )
    return Figure(
        name="Payment fees",
        amount=fee_to_add(
            keep + together,
            fee,
            tax_percent=policy.tax.percent,
            beside=apart,
            minor_unit=minor_unit,
        ),
        how=f"{plain(fee.percent)} % and {fee.payments} × {fixed} of the payments, "
        f"so that {money_in_words(kept, minor_unit)} is left",
        key="fees",
    )


def _dealer_allowance(keep: Decimal, policy: PricingFigures, minor_unit: Decimal) -> Figure:
    return Figure(
        name="Allowance for dealer's discount",
        amount=list_price(keep, policy.dealer_percent, minor_unit) - keep,
        how=f"{plain(policy.dealer_percent)} % of the list price, "
        f"so that {money_in_words(keep, minor_unit)} is left",
        key="dealer",
    )


def _up_to_step(subtotal: Decimal, policy: PricingFigures, minor_unit: Decimal) -> Decimal:
    """Return the list price."""
    if not policy.step_with_tax:
        return round_up_to_step(subtotal, policy.price_step)
    return taxed_from_gross(_with_tax(subtotal, policy, minor_unit), policy.tax, minor_unit).net


def _with_tax(subtotal: Decimal, policy: PricingFigures, minor_unit: Decimal) -> Decimal:
    """Return the list price with its tax where that is what goes up to the step."""
    return round_up_to_step(
        taxed_from_net(subtotal, policy.tax, minor_unit).gross, policy.price_step
    )


def _rounding(
    subtotal: Decimal, price: Decimal, policy: PricingFigures, minor_unit: Decimal
) -> Figure:
    step = f"up to the next {plain(policy.price_step)}"
    words = "not rounded"
    if policy.price_step:
        before = "with tax" if policy.step_with_tax else money_in_words(subtotal, minor_unit)
        words = f"{before} {step}"
    return Figure(name="Rounding up", amount=price - subtotal, how=words, key="rounding")


def _dealer_discount(price: Decimal, policy: PricingFigures, minor_unit: Decimal) -> Figure:
    percent = policy.dealer_percent
    return Figure(
        name="Dealer's discount",
        amount=-dealer_discount(price, percent, minor_unit),
        how=f"{plain(percent)} % of {money_in_words(price, minor_unit)}",
        key="discount",
    )


def _document(
    prices: tuple[Decimal, Decimal],
    discount: Figure,
    goods: Sequence[TaxableLine],
    policy: PricingFigures,
    minor_unit: Decimal,
) -> TaxedDocument:
    """Put the tax on; `prices` are the instrument's, before and after it went up to the step.

    Where prices have their tax in them, the odd cent between those prices and the tax of their sum
    is the document's rounding (BT-114).
    """
    lines = [TaxableLine(name="Instrument", net=prices[1], rate=policy.tax), *goods]
    off = TaxableLine(name=discount.name, net=-discount.amount, rate=policy.tax)
    document = tax_document(
        lines, allowances=[off] if discount.amount else [], minor_unit=minor_unit
    )
    if not policy.step_with_tax or discount.amount:
        return document
    wanted = _with_tax(prices[0], policy, minor_unit)
    for line in goods:
        by_net = taxed_from_net(line.net, line.rate, minor_unit).gross
        wanted += by_net if line.with_tax is None else line.with_tax
    return tax_document(lines, rounding=wanted - document.gross, minor_unit=minor_unit)


def _present(*steps: Figure) -> tuple[Figure, ...]:
    return tuple(step for step in steps if step.amount or step.parts)
