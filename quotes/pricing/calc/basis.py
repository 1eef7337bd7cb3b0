"""What a price is made from: hours, materials, bought work and the policy they are priced by."""

from dataclasses import dataclass
from decimal import Decimal

from quotes.base.calc.checks import not_below_zero, percent_below, percent_up_to_100
from quotes.base.calc.figures import NOTHING, Figure
from quotes.pricing.calc.contingency import FailureRisk
from quotes.pricing.calc.fees import NO_FEE, PaymentFee
from quotes.pricing.calc.tax import NOT_REGISTERED, TaxRate


@dataclass(frozen=True, slots=True, kw_only=True)
class StageHours:
    """The hours of one stage; `rate` stands in for the shop rate where the work has its own."""

    name: str
    hours: Decimal
    rate: Decimal | None = None
    how: str = ""
    key: str = ""

    def __post_init__(self) -> None:
        not_below_zero(self.hours, f"{self.name}: the number of hours", "hours")
        not_below_zero(self.rate or NOTHING, f"{self.name}: the rate", "rate")


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialLine:
    """One material: `cost` is the whole line at replacement, expected waste in it.

    `quantity` is words for the page, such as "1.05 m"; `family` groups lines on the sheet.
    """

    name: str
    family: str
    quantity: str
    cost: Decimal
    markup_percent: Decimal = NOTHING
    how: str = ""
    key: str = ""

    def __post_init__(self) -> None:
        not_below_zero(self.cost, f"{self.name}: the cost", "cost")
        not_below_zero(self.markup_percent, f"{self.name}: the markup", "markup_percent")


@dataclass(frozen=True, slots=True, kw_only=True)
class BoughtLine:
    """Outside work, a case, packing or shipping: a cost and the markup put on it.

    `with_tax` is the selling price with its tax, where that is what was typed.
    """

    name: str
    cost: Decimal
    markup_percent: Decimal = NOTHING
    with_tax: Decimal | None = None
    how: str = ""
    key: str = ""

    def __post_init__(self) -> None:
        not_below_zero(self.cost, f"{self.name}: the cost", "cost")
        not_below_zero(self.markup_percent, f"{self.name}: the markup", "markup_percent")


@dataclass(frozen=True, slots=True, kw_only=True)
class BesideLine(BoughtLine):
    """A thing sold beside the instrument: a line of its own on the paper, at a tax of its own."""

    tax: TaxRate


@dataclass(frozen=True, slots=True, kw_only=True)
class FurtherInstrument:
    """Another instrument of the same order: a line of its own, with a figure that opens to how.

    `with_tax` is its price with tax where that is what goes up to the step.
    """

    name: str
    figure: Figure
    tax: TaxRate
    with_tax: Decimal | None


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnLine:
    """An amount that the maker sets as it is, below 0 for something given away."""

    name: str
    amount: Decimal
    how: str = ""
    key: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceBasis:
    """Everything that goes into one price. `failures` are what the contingency is kept for.

    `last_cents` come after fees and rush, which are not charged on them.
    """

    stages: tuple[StageHours, ...] = ()
    materials: tuple[MaterialLine, ...] = ()
    outside_work: tuple[BoughtLine, ...] = ()
    own_lines: tuple[OwnLine, ...] = ()
    failures: tuple[FailureRisk, ...] = ()
    last_cents: tuple[OwnLine, ...] = ()
    packing: tuple[BoughtLine, ...] = ()
    further: tuple[FurtherInstrument, ...] = ()
    beside: tuple[BesideLine, ...] = ()
    shipping: tuple[BoughtLine, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PricingFigures:
    """How a basis becomes a price; percentages are of what their name says.

    `contingency_percent` is of labour, `rush_percent` of everything before it, `dealer_percent`
    of the list price. A `price_step` of 0 leaves the price as it comes; with `step_with_tax` it is
    the price with its tax that goes up to it. Raises Refusal on numbers that can't be meant.
    """

    shop_rate: Decimal
    contingency_percent: Decimal = NOTHING
    rush_percent: Decimal = NOTHING
    fee: PaymentFee = NO_FEE
    dealer_percent: Decimal = NOTHING
    price_step: Decimal = NOTHING
    step_with_tax: bool = False
    tax: TaxRate = NOT_REGISTERED
    shipping_tax: TaxRate | None = None

    def __post_init__(self) -> None:
        not_below_zero(self.shop_rate, "The shop rate", "shop_rate")
        percent_up_to_100(self.contingency_percent, "The contingency", "contingency_percent")
        percent_up_to_100(self.rush_percent, "The rush charge", "rush_percent")
        percent_below(self.dealer_percent, 90, "The dealer's discount", "dealer_percent")
        not_below_zero(self.price_step, "The price step", "price_step")
