"""Hours for a quote: an estimate read at the level that the maker names."""

from decimal import Decimal

from inventory.base.calc.money import round_money, share_out
from shop.estimates.calc.records import Estimate, HoursRange

LEVELS = {
    "likely": "typical (median)",
    "mean": "average",
    "80": "safe (80 %)",
    "90": "safe (90 %)",
}
"""Level → what it promises."""

LEVEL_WORDS = {"likely": "likely", "mean": "average", "80": "80 %", "90": "90 %"}
"""Level → what it is called beside a figure."""


def hours_at(hours: HoursRange, level: str) -> float:
    """Return the figure of a range at `level`. Raises ValueError for a level that is not one."""
    figures = {
        "likely": hours.median,
        "mean": hours.mean,
        "80": hours.enough_80,
        "90": hours.enough_90,
    }
    if level not in figures:
        raise ValueError(f"“{level}” is not a level of an estimate: use {', '.join(figures)}.")
    return figures[level]


def quote_hours(
    estimate: Estimate, level: str, step: Decimal = Decimal("0.1")
) -> dict[str, Decimal]:
    """Return stage key → hours, in whole `step`s, that add up to the total at `level`.

    Stages that are each enough in 80 of 100 builds are together enough far more often, so the
    stages share the total's own figure in proportion to theirs.
    """
    total = round_money(Decimal(hours_at(estimate.total, level)), step)
    weights = [Decimal(stage.chance * hours_at(stage.hours, level)) for stage in estimate.stages]
    shares = share_out(total, weights, step)
    return {stage.key: hours for stage, hours in zip(estimate.stages, shares, strict=True)}
