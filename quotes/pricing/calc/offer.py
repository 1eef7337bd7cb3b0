"""An offer: everything that one quote says at one moment, for the maker and for the client."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.base.refusals import Refusal
from quotes.base.calc.checks import HUNDRED
from quotes.base.calc.figures import NOTHING, Figure
from quotes.pricing.calc.currency import ClientPrice
from quotes.pricing.calc.parts import PartTerm, PaymentPart
from quotes.pricing.calc.pricing import PriceSheet
from quotes.pricing.calc.tax_document import TaxedDocument


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferedStage:
    """A stage as offered: hours of hands-on work, then days of waiting."""

    key: str
    name: str
    hours: Decimal
    hours_low: Decimal
    hours_high: Decimal
    waiting_days: Decimal
    basis: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferedMaterial:
    """A material as offered: quantities in words, in base units, and its cost in home money.

    `waste` is the part of the cost for what is rejected or spoilt, beyond what is drawn.
    """

    key: str
    name: str
    family: str
    quantity: str
    net: Decimal
    to_draw: Decimal
    cost: Decimal
    waste: Decimal
    how: str
    warning: str


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedStep:
    """A stage on the calendar as proposed; what follows can begin on `free`."""

    name: str
    minutes: int
    starts: date
    finishes: date
    free: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """A quote's figures in home money, and in the client's where that is another.

    What is due at each part is in the client's money.
    """

    home_currency: str
    currency: str
    sheet: PriceSheet
    client_price: ClientPrice | None
    parts: tuple[PaymentPart, ...]
    stages: tuple[OfferedStage, ...]
    materials: tuple[OfferedMaterial, ...]
    allowances: tuple[Figure, ...]
    ready_on: date | None
    ready_because: str
    ready_steps: tuple[PlannedStep, ...]

    @property
    def document(self) -> TaxedDocument:
        """What the client is asked to pay, in the client's money."""
        return self.client_price.document if self.client_price else self.sheet.document

    @property
    def built_in(self) -> tuple[OfferedMaterial, ...]:
        """The materials in the instrument's price, without those that are sold beside it."""
        beside = self.sheet.find("beside")
        sold = {figure.key for figure in beside.parts} if beside else set()
        return tuple(line for line in self.materials if line.key not in sold)

    @property
    def bought(self) -> Decimal:
        """What is bought for the instrument, at cost, for the options that were chosen too."""
        materials = sum((line.cost for line in self.built_in), NOTHING)
        return self.sheet.bought - self.sheet.amount("materials-cost") + materials

    @property
    def is_foreign(self) -> bool:
        """Say whether the client pays in another money than the shop's."""
        return self.client_price is not None


EQUAL = re.compile(r"(\d{1,2})\s+equal(\s+parts)?", re.IGNORECASE)
NEARLY = Decimal("0.07")
"""Thirds typed as 33.33 33.33 33.34, or 33.3 33.3 33.4, are off by no more than this."""


def read_parts(text: str) -> tuple[PartTerm, ...]:
    """Read percentages such as `30 30 40` and name them: deposit, stage payments, balance.

    `3 equal parts` are as equal as the smallest coin allows, and so are percentages that only
    rounding sets apart. Raises Refusal on words that are no numbers.
    """
    equal = EQUAL.fullmatch(text.strip())
    if equal:
        percents = _equal(int(equal[1]))
    else:
        percents = [_percent(word) for word in text.replace("%", " ").replace("/", " ").split()]
    if not percents:
        raise Refusal("Give at least one part, such as 100.", field="parts")
    if _is_nearly_equal(percents):
        percents = _equal(len(percents))
    return tuple(
        PartTerm(name=name, percent=percent)
        for name, percent in zip(part_names(len(percents)), percents, strict=True)
    )


def _equal(count: int) -> list[Decimal]:
    """Return as many equal percentages, the last with what rounding left of 100."""
    if not count:
        return []
    firsts = [HUNDRED / count] * (count - 1)
    return [*firsts, HUNDRED - sum(firsts, NOTHING)]


def _is_nearly_equal(percents: Sequence[Decimal]) -> bool:
    each = HUNDRED / len(percents)
    return sum(percents, NOTHING) == HUNDRED and all(abs(one - each) <= NEARLY for one in percents)


def part_names(count: int) -> Sequence[str]:
    """Name the parts of a price in their order."""
    if count == 1:
        return ["Whole price"]
    middle = count - 2
    between = (
        ["Stage payment"] if middle == 1 else [f"Stage payment {n + 1}" for n in range(middle)]
    )
    return ["Deposit", *between, "Balance"]


def _percent(word: str) -> Decimal:
    try:
        return Decimal(word)
    except ArithmeticError:
        raise Refusal(
            f"“{word}” is not a percentage. Give numbers that add up to 100, such as 30 30 40.",
            field="parts",
        ) from None
