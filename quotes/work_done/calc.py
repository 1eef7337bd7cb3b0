"""What work comes to by time and materials: each line rounded, the total their sum."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from inventory.base.calc.money import round_money
from quotes.base.calc.checks import HUNDRED
from quotes.base.calc.figures import CENT, plain


@dataclass(frozen=True, slots=True, kw_only=True)
class ChargedLine:
    """One line of what is charged, net, and how it came about: the maker's words only."""

    name: str
    how: str
    net: Decimal


def charged_hours(
    stages: Iterable[tuple[str, Decimal]], rate: Decimal, minor_unit: Decimal = CENT
) -> tuple[ChargedLine, ...]:
    """Charge minutes of each stage at an hourly rate; a stage without any is left out."""
    return tuple(
        ChargedLine(
            name=f"{name}, {_hours(minutes)} h at {plain(rate)}",
            how=f"{_hours(minutes)} h × {plain(rate)}",
            net=round_money(minutes / 60 * rate, minor_unit),
        )
        for name, minutes in stages
        if minutes
    )


def charged_materials(
    used: Iterable[tuple[str, Decimal]], markup_percent: Decimal, minor_unit: Decimal = CENT
) -> tuple[ChargedLine, ...]:
    """Charge materials at what they cost to replace, with the markup; one line for each name."""
    sums: dict[str, Decimal] = {}
    for name, cost in used:
        sums[name] = sums.get(name, Decimal(0)) + cost
    return tuple(
        ChargedLine(
            name=name,
            how=f"{plain(cost)} and {plain(markup_percent)} % markup",
            net=round_money(cost * (1 + markup_percent / HUNDRED), minor_unit),
        )
        for name, cost in sums.items()
        if cost
    )


def _hours(minutes: Decimal) -> str:
    return plain(round_money(minutes / 60))
