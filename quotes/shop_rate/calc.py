"""The shop rate: what an hour has to cost, and the figures that say why."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from inventory.base.calc.money import round_up_to_step
from inventory.base.refusals import Refusal
from quotes.base.calc.checks import (
    HUNDRED,
    above_zero,
    not_below_zero,
    percent_below,
    percent_of,
    percent_up_to_100,
)
from quotes.base.calc.figures import NOTHING, plain

CHANGES = tuple(Decimal(percent) for percent in range(-30, 31, 10))


@dataclass(frozen=True, slots=True, kw_only=True)
class OverheadCost:
    """One cost of a year that no build can be charged with directly."""

    name: str
    yearly: Decimal

    def __post_init__(self) -> None:
        not_below_zero(self.yearly, f"{self.name}: the yearly cost", "yearly")


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopYear:
    """A year of the workshop; `margin_percent` is profit as a margin on the rate.

    `billable_percent` is the part of working hours that can be charged to a build.
    """

    overheads: tuple[OverheadCost, ...]
    weeks: Decimal
    weekly_hours: Decimal
    billable_percent: Decimal
    wanted_pay: Decimal
    margin_percent: Decimal = NOTHING
    rate_step: Decimal = Decimal(1)

    def __post_init__(self) -> None:
        if not 0 < self.weeks <= 53:
            raise Refusal(f"A year has 1 to 53 weeks, not {plain(self.weeks)}.", field="weeks")
        above_zero(self.weekly_hours, "The number of hours a week", "weekly_hours")
        percent_up_to_100(self.billable_percent, "The billable share", "billable_percent")
        above_zero(self.billable_percent, "The billable share", "billable_percent")
        not_below_zero(self.wanted_pay, "The target pay", "wanted_pay")
        percent_below(self.margin_percent, 100, "The profit margin", "margin_percent")
        not_below_zero(self.rate_step, "The step of the rate", "rate_step")


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopRate:
    """A shop rate and what it is made from, at full precision save `rate`.

    `break_even` is (`overhead` + wanted pay) / `billable_hours`, `with_profit` that with the
    margin on it, and `rate` the next step at or above.
    """

    overhead: Decimal
    working_hours: Decimal
    billable_hours: Decimal
    overhead_per_hour: Decimal
    pay_per_hour: Decimal
    break_even: Decimal
    with_profit: Decimal
    rate: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class LeverPoint:
    """The rate before rounding up when one thing is `change_percent` more, so at `value`."""

    change_percent: Decimal
    value: Decimal
    rate: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Lever:
    """One thing that moves the shop rate, and the rate along its way."""

    name: str
    field: str
    points: tuple[LeverPoint, ...]

    @property
    def swing(self) -> Decimal:
        """The difference between the highest and the lowest rate along the way."""
        rates = [point.rate for point in self.points]
        return max(rates, default=NOTHING) - min(rates, default=NOTHING)


LEVERS = (
    ("Billable share, %", "billable_percent"),
    ("Weeks per year", "weeks"),
    ("Hours per week", "weekly_hours"),
    ("Target pay", "wanted_pay"),
    ("Overheads", "overheads"),
    ("Profit margin, %", "margin_percent"),
)


def work_out_rate(year: ShopYear) -> ShopRate:
    """Work out the shop rate of a year."""
    overhead = sum((each.yearly for each in year.overheads), NOTHING)
    working = year.weeks * year.weekly_hours
    billable = percent_of(year.billable_percent, working)
    break_even = (overhead + year.wanted_pay) / billable
    with_profit = break_even * HUNDRED / (HUNDRED - year.margin_percent)
    return ShopRate(
        overhead=overhead,
        working_hours=working,
        billable_hours=billable,
        overhead_per_hour=overhead_rate(overhead, billable),
        pay_per_hour=year.wanted_pay / billable,
        break_even=break_even,
        with_profit=with_profit,
        rate=round_up_to_step(with_profit, year.rate_step),
    )


def what_moves_the_rate(year: ShopYear, changes: Sequence[Decimal] = CHANGES) -> tuple[Lever, ...]:
    """Return what each lever does to the rate, moved alone, the strongest lever first.

    `changes` are percentages of each lever's own value. Points that can't be (a billable share
    above 100 %) are left out.
    """
    levers = [
        Lever(name=name, field=field, points=tuple(_points(year, field, changes)))
        for name, field in LEVERS
    ]
    return tuple(sorted(levers, key=lambda lever: -lever.swing))


def builds_a_year(billable_hours: Decimal, hours_each: Decimal) -> Decimal:
    """Return how many builds of `hours_each` the billable hours hold, at full precision."""
    above_zero(hours_each, "The number of hours of a build", "hours_each")
    return billable_hours / hours_each


def overhead_rate(overhead: Decimal, base: Decimal) -> Decimal:
    """Return overhead for one of `base` (hours, or money of labour), at full precision."""
    above_zero(base, "What overhead is spread over", "base")
    return overhead / base


def _points(year: ShopYear, field: str, changes: Sequence[Decimal]) -> list[LeverPoint]:
    points = []
    for change in changes:
        factor = (HUNDRED + change) / HUNDRED
        try:
            moved = _moved(year, field, factor)
        except Refusal:
            continue
        points.append(
            LeverPoint(
                change_percent=change,
                value=_value(moved, field),
                rate=work_out_rate(moved).with_profit,
            )
        )
    return points


def _moved(year: ShopYear, field: str, factor: Decimal) -> ShopYear:
    if field == "overheads":
        scaled = tuple(replace(each, yearly=each.yearly * factor) for each in year.overheads)
        return replace(year, overheads=scaled)
    changes = {field: getattr(year, field) * factor}
    return replace(year, **changes)


def _value(year: ShopYear, field: str) -> Decimal:
    if field == "overheads":
        return sum((each.yearly for each in year.overheads), NOTHING)
    value: Decimal = getattr(year, field)
    return value


MONEY, HOURS = "money", "hours"


@dataclass(frozen=True, slots=True, kw_only=True)
class RateFigure:
    """One figure on the way to the rate: its value in money or hours, its arithmetic, its parts."""

    name: str
    value: Decimal
    kind: str
    how: str
    parts: tuple[OverheadCost, ...] = ()


def rate_figures(year: ShopYear, rate: ShopRate) -> tuple[RateFigure, ...]:
    """Return every figure from the overheads to the rate, at full precision, in order."""
    overhead, pay = f"{rate.overhead:,.2f}", f"{year.wanted_pay:,.2f}"
    billable = f"{plain(rate.billable_hours)} h"
    kept = 100 - year.margin_percent
    return (
        RateFigure(
            name="Overheads per year",
            value=rate.overhead,
            kind=MONEY,
            how="costs not charged to one build",
            parts=year.overheads,
        ),
        RateFigure(
            name="Working hours",
            value=rate.working_hours,
            kind=HOURS,
            how=f"{plain(year.weeks)} weeks × {plain(year.weekly_hours)} h",
        ),
        RateFigure(
            name="Billable hours",
            value=rate.billable_hours,
            kind=HOURS,
            how=f"{plain(year.billable_percent)} % of {plain(rate.working_hours)} h",
        ),
        RateFigure(
            name="Overhead per billable hour",
            value=rate.overhead_per_hour,
            kind=MONEY,
            how=f"{overhead} ÷ {billable}",
        ),
        RateFigure(
            name="Pay per billable hour",
            value=rate.pay_per_hour,
            kind=MONEY,
            how=f"{pay} ÷ {billable}",
        ),
        RateFigure(
            name="Break-even rate",
            value=rate.break_even,
            kind=MONEY,
            how=f"({overhead} + {pay}) ÷ {billable}",
        ),
        RateFigure(
            name="With profit",
            value=rate.with_profit,
            kind=MONEY,
            how=f"a margin of {plain(year.margin_percent)} %: "
            f"{rate.break_even:.2f} ÷ {plain(kept / 100)}",
        ),
        RateFigure(
            name="Shop rate",
            value=rate.rate,
            kind=MONEY,
            how=f"{rate.with_profit:,.2f} up to the next {plain(year.rate_step)}"
            if year.rate_step
            else "not rounded",
        ),
    )
