"""What taking a payment or selling through a dealer costs, added so that the price is kept."""

from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal

from inventory.base.calc.money import round_money
from quotes.base.calc.checks import HUNDRED, not_below_zero, percent_below, percent_of
from quotes.base.calc.figures import CENT, NOTHING


@dataclass(frozen=True, slots=True, kw_only=True)
class PaymentFee:
    """A fee of `percent` of what is paid and `fixed` for each of `payments`."""

    percent: Decimal = NOTHING
    fixed: Decimal = NOTHING
    payments: int = 1

    def __post_init__(self) -> None:
        percent_below(self.percent, 20, "The payment fee", "percent")
        not_below_zero(self.fixed, "The fixed fee of a payment", "fixed")
        not_below_zero(Decimal(self.payments), "The number of payments", "payments")


NO_FEE = PaymentFee()


def fee_on(paid: Decimal, fee: PaymentFee, minor_unit: Decimal = CENT) -> Decimal:
    """Return what is kept back from `paid` (gross), half up to `minor_unit`."""
    return round_money(percent_of(fee.percent, paid) + fee.fixed * fee.payments, minor_unit)


def fee_to_add(
    keep: Decimal,
    fee: PaymentFee,
    *,
    tax_percent: Decimal = NOTHING,
    beside: Decimal = NOTHING,
    minor_unit: Decimal = CENT,
) -> Decimal:
    """Return the least net amount to add to `keep` so that `keep` is left after the fee.

    The fee is due on everything paid: `keep` and the addition with `tax_percent` of tax on top,
    and `beside`, a gross amount that travels in the same payments, such as shipping.
    """

    def short(added: Decimal) -> bool:
        gross = round_money(percent_of(HUNDRED + tax_percent, keep + added), minor_unit)
        return added < fee_on(gross + beside, fee, minor_unit)

    taxed = fee.percent * (HUNDRED + tax_percent) / HUNDRED**2
    exact = (taxed * keep + percent_of(fee.percent, beside) + fee.fixed * fee.payments) / (
        1 - taxed
    )
    added = max(_down(exact - 3 * minor_unit, minor_unit), NOTHING)
    while short(added):
        added += minor_unit
    return added


def dealer_discount(list_price: Decimal, percent: Decimal, minor_unit: Decimal = CENT) -> Decimal:
    """Return what a dealer keeps of the list price, half up to `minor_unit`."""
    return round_money(percent_of(percent, list_price), minor_unit)


def list_price(keep: Decimal, percent: Decimal, minor_unit: Decimal = CENT) -> Decimal:
    """Return the least list price that leaves exactly `keep` after a dealer's discount."""
    percent_below(percent, 90, "The dealer's discount", "percent")
    price = _down((keep - minor_unit) * HUNDRED / (HUNDRED - percent), minor_unit)
    while price - dealer_discount(price, percent, minor_unit) < keep:
        price += minor_unit
    return price


def dealer_hourly(
    list_price: Decimal, percent: Decimal, *, materials: Decimal, hours: Decimal
) -> Decimal:
    """Return what an hour earns when a dealer sells: (price × (1 - discount) - materials) / hours.

    The rate to test before agreeing to a discount (common practice, no source); full precision.
    """
    return (percent_of(HUNDRED - percent, list_price) - materials) / hours


def _down(amount: Decimal, minor_unit: Decimal) -> Decimal:
    return (amount / minor_unit).quantize(Decimal(1), rounding=ROUND_FLOOR) * minor_unit
