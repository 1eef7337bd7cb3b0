"""Sales tax by the arithmetic of EN 16931: lines by category and rate, tax on each sum, half up."""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from inventory.base.calc.money import round_money
from inventory.base.refusals import Refusal
from quotes.base.calc.checks import HUNDRED, not_below_zero, percent_of
from quotes.base.calc.figures import CENT, NOTHING, plain


class TaxCategory(StrEnum):
    """How a line is taxed: the category codes of EN 16931 (BT-118, BT-151) that a maker meets."""

    STANDARD = "S"
    ZERO = "Z"
    EXEMPT = "E"
    REVERSE_CHARGE = "AE"
    EXPORT = "G"
    INTRA_COMMUNITY = "K"
    OUTSIDE_SCOPE = "O"


REASONS: dict[TaxCategory, str] = {
    TaxCategory.STANDARD: "",
    TaxCategory.ZERO: "Zero-rated",
    TaxCategory.EXEMPT: "Exempt from tax",
    TaxCategory.REVERSE_CHARGE: "Reverse charge: the client accounts for the tax",
    TaxCategory.EXPORT: "Export",
    TaxCategory.INTRA_COMMUNITY: "Intra-community supply to a business in another member state",
    TaxCategory.OUTSIDE_SCOPE: "The maker is not registered for tax",
}
"""Category → the words that explain on a document why no tax is charged; wording our own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TaxRate:
    """A category and its percentage. Only standard-rated supplies carry one (BR-S-05, from memory).

    Raises Refusal when the percentage and the category contradict each other.
    """

    category: TaxCategory
    percent: Decimal = NOTHING

    def __post_init__(self) -> None:
        not_below_zero(self.percent, "The tax rate", "percent")
        standard = self.category is TaxCategory.STANDARD
        if standard and not self.percent:
            raise Refusal(
                "A taxed line needs a rate above 0 %; choose zero-rated for a rate of 0 %.",
                field="percent",
            )
        if self.percent and not standard:
            raise Refusal(
                f"{REASONS[self.category]}: the rate must be 0 %, not {plain(self.percent)} %.",
                field="percent",
            )

    @property
    def words(self) -> str:
        """What a document calls it: the rate in percent, or the reason for charging none."""
        return REASONS[self.category] or f"{plain(self.percent)} %"


NOT_REGISTERED = TaxRate(category=TaxCategory.OUTSIDE_SCOPE)
EXPORT = TaxRate(category=TaxCategory.EXPORT)
REVERSE_CHARGE = TaxRate(category=TaxCategory.REVERSE_CHARGE)


def standard(percent: Decimal) -> TaxRate:
    """Return the rate of a taxed supply."""
    return TaxRate(category=TaxCategory.STANDARD, percent=percent)


def tax_on(net: Decimal, rate: TaxRate, minor_unit: Decimal = CENT) -> Decimal:
    """Return the tax on a net sum, half up to `minor_unit` (BR-CO-17)."""
    return round_money(percent_of(rate.percent, net), minor_unit)


@dataclass(frozen=True, slots=True, kw_only=True)
class Taxed:
    """An amount with its tax. Raises ValueError when net and tax don't make the gross."""

    net: Decimal
    tax: Decimal
    gross: Decimal

    def __post_init__(self) -> None:
        if self.net + self.tax != self.gross:
            raise ValueError(f"Net {self.net} and tax {self.tax} are not gross {self.gross}.")


def taxed_from_net(net: Decimal, rate: TaxRate, minor_unit: Decimal = CENT) -> Taxed:
    """Put the tax on a net amount."""
    tax = tax_on(net, rate, minor_unit)
    return Taxed(net=net, tax=tax, gross=net + tax)


def taxed_from_gross(gross: Decimal, rate: TaxRate, minor_unit: Decimal = CENT) -> Taxed:
    """Take the tax out of a gross amount, so that putting it on again returns that amount.

    Some gross amounts can't be reached (0.03 at 20 % lies between 0.02 and 0.04); the result is
    then one `minor_unit` off, and a document makes that up as its rounding (BT-114).
    """
    net = round_money(gross * HUNDRED / (HUNDRED + rate.percent), minor_unit)
    return taxed_from_net(net, rate, minor_unit)


def cost_to_maker(net: Decimal, percent: Decimal) -> Decimal:
    """Return what a bought thing costs a maker who can't reclaim its tax, not rounded."""
    return net + percent_of(percent, net)


@dataclass(frozen=True, slots=True, kw_only=True)
class TaxableLine:
    """One line of a document: net (BT-131), rounded already, and how it is taxed.

    `with_tax` is its price as it was typed, where that has the tax in it.
    """

    name: str
    net: Decimal
    rate: TaxRate
    with_tax: Decimal | None = None
