"""Money kept inside a price for what may go wrong, worked out from each stage's own failures."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal

from inventory.base.calc.money import round_money
from quotes.base.calc.checks import HUNDRED, not_below_zero, percent_below
from quotes.base.calc.figures import CENT, NOTHING, Figure, plain


@dataclass(frozen=True, slots=True, kw_only=True)
class FailureRisk:
    """One thing that may go wrong in a stage, and what it takes to get back to where it was.

    `hours` are redone and `cost` (at replacement) is lost each time. `chance_percent` holds for
    every attempt, so what is redone may fail again. `covered` is what of all that the lines' own
    reject rates pay on average, and so is not counted here as well.
    """

    name: str
    stage: str
    chance_percent: Decimal
    hours: Decimal = NOTHING
    cost: Decimal = NOTHING
    covered: Decimal = NOTHING

    def __post_init__(self) -> None:
        percent_below(self.chance_percent, 100, f"{self.name}: the chance", "chance_percent")
        not_below_zero(self.hours, f"{self.name}: the number of hours", "hours")
        not_below_zero(self.cost, f"{self.name}: the cost", "cost")

    @property
    def chance(self) -> Decimal:
        """The chance of one attempt as a fraction."""
        return self.chance_percent / HUNDRED

    @property
    def chance_words(self) -> str:
        """The chance as makers count it, such as `one in 12`, to a tenth."""
        if not self.chance_percent:
            return "never"
        return f"one in {plain(round_money(HUNDRED / self.chance_percent, Decimal('0.1')))}"

    @property
    def expected_times(self) -> Decimal:
        """How often it happens on average before the stage succeeds: p / (1 - p)."""
        return self.chance / (1 - self.chance)

    def each(self, rate: Decimal) -> Decimal:
        """Return what one failure costs with its hours at `rate`; full precision."""
        return self.hours * rate + self.cost


@dataclass(frozen=True, slots=True, kw_only=True)
class LossLine:
    """A line that a failure may lose: what one costs without its waste, and what its own reject
    rate pays on average for pieces that are lost, whatever loses them."""

    cost: Decimal
    rejected: Decimal = NOTHING


def take_what_is_lost(
    risks: Iterable[tuple[FailureRisk, Iterable[str]]], lines: Mapping[str, LossLine]
) -> tuple[FailureRisk, ...]:
    """Return the risks with the cost of the lines that each loses, named by their keys.

    A reject rate says how much of a line is lost on average, and a failure that loses it is one way
    to lose it. So the rate pays for the failures, one after the other, as far as it reaches: of
    rate and failures together the larger one counts, and nothing twice.
    """
    left = {key: line.rejected for key, line in lines.items()}
    taken = []
    for risk, keys in risks:
        lost = [key for key in keys if key in lines]
        covered = NOTHING
        for key in lost:
            # One cracked top would otherwise be paid twice: by the line's reject rate and by the
            # stage.
            paid = min(left[key], risk.expected_times * lines[key].cost)
            left[key] -= paid
            covered += paid
        cost = sum((lines[key].cost for key in lost), NOTHING)
        taken.append(replace(risk, cost=cost, covered=covered))
    return tuple(taken)


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpectedFailures:
    """Failures as figures of a price; `spread` is the standard deviation of their sum.

    `hours` are expected extra hours and `spread` is money, both at full precision.
    """

    lines: tuple[Figure, ...]
    amount: Decimal
    hours: Decimal
    spread: Decimal


def expect_failures(
    risks: Iterable[FailureRisk], rate: Decimal, minor_unit: Decimal = CENT
) -> ExpectedFailures:
    """Return what the failures cost on average with hours at `rate`, and how far that may be off.

    Failures are taken as independent, each following a geometric distribution: expected times
    p / (1 - p), variance p / (1 - p)². This agrees with cost / (1 - r) for a reject rate r.
    """
    risks = tuple(risks)
    lines = tuple(_line(risk, rate, minor_unit) for risk in risks)
    variance = sum((_variance(risk, rate) for risk in risks), NOTHING)
    return ExpectedFailures(
        lines=lines,
        amount=sum((line.amount for line in lines), NOTHING),
        hours=sum((risk.expected_times * risk.hours for risk in risks), NOTHING),
        spread=variance.sqrt(),
    )


def share_of_labour(amount: Decimal, labour: Decimal) -> Decimal:
    """Return a contingency as a percentage of labour, 0 where there is no labour."""
    return HUNDRED * amount / labour if labour else NOTHING


def _line(risk: FailureRisk, rate: Decimal, minor_unit: Decimal) -> Figure:
    each = risk.each(rate)
    hours = f"{plain(risk.hours)} h × {plain(rate)}" if risk.hours else ""
    lost = f"{plain(risk.cost)} lost" if risk.cost else ""
    costs = " and ".join(filter(None, [hours, lost])) or "nothing"
    covered = round_money(risk.covered, minor_unit)
    less = f"; less {plain(covered)} in its reject rate" if covered else ""
    return Figure(
        name=risk.name,
        amount=round_money(risk.expected_times * each - risk.covered, minor_unit),
        how=f"{risk.stage}: {risk.chance_words}, {costs} each time{less}",
        key=f"failure:{risk.stage}:{risk.name}",
    )


def _variance(risk: FailureRisk, rate: Decimal) -> Decimal:
    return risk.chance / (1 - risk.chance) ** 2 * risk.each(rate) ** 2
