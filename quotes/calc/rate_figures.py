"""The shop rate as a row of figures, each telling how it came about."""

from dataclasses import dataclass
from decimal import Decimal

from quotes.calc.figures import plain
from quotes.calc.shoprate import Overhead, ShopRate, ShopYear

MONEY, HOURS = "money", "hours"


@dataclass(frozen=True, slots=True, kw_only=True)
class RateFigure:
    """One figure on the way to the rate: its value in money or hours, its arithmetic, its parts."""

    name: str
    value: Decimal
    kind: str
    how: str
    parts: tuple[Overhead, ...] = ()


def rate_figures(year: ShopYear, rate: ShopRate) -> tuple[RateFigure, ...]:
    """Return every figure from the overheads to the rate, at full precision, in order."""
    overhead, pay = f"{rate.overhead:,.2f}", f"{year.wanted_pay:,.2f}"
    billable = f"{plain(rate.billable_hours)} h"
    kept = 100 - year.margin_percent
    return (
        RateFigure(
            name="Overheads of a year",
            value=rate.overhead,
            kind=MONEY,
            how="what no build can be charged with directly",
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
            name="Overhead on each billable hour",
            value=rate.overhead_per_hour,
            kind=MONEY,
            how=f"{overhead} ÷ {billable}",
        ),
        RateFigure(
            name="Pay on each billable hour",
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
