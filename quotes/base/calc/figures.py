"""A figure that can be asked why: its amount, how it came about and the parts it is the sum of."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from inventory.base.calc.money import round_money

CENT = Decimal("0.01")
NOTHING = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One amount of money on a maker's page and what it was made from.

    `how` tells the arithmetic in words ("48 h × 45"); `key` names the figure for finding and
    comparing, such as `labour` or `material:12`. Raises ValueError when there are parts and they
    don't add up to `amount`.
    """

    name: str
    amount: Decimal
    how: str = ""
    key: str = ""
    parts: tuple["Figure", ...] = ()

    def __post_init__(self) -> None:
        if self.parts and total(self.parts) != self.amount:
            raise ValueError(
                f"The parts of {self.name} come to {total(self.parts)}, not {self.amount}."
            )


def total(figures: Iterable[Figure]) -> Decimal:
    """Return the sum of the amounts shown."""
    return sum((figure.amount for figure in figures), NOTHING)


def added_up(name: str, parts: Iterable[Figure], *, key: str = "", how: str = "") -> Figure:
    """Return the figure that is the sum of `parts`."""
    shown = tuple(parts)
    return Figure(name=name, amount=total(shown), how=how, key=key, parts=shown)


def walk(figures: Iterable[Figure]) -> Iterator[Figure]:
    """Yield every figure and, after each, everything it opens to, in reading order."""
    for figure in figures:
        yield figure
        yield from walk(figure.parts)


def find(figures: Iterable[Figure], key: str) -> Figure | None:
    """Return the first figure with this key at any depth, or None."""
    return next((figure for figure in walk(figures) if figure.key == key), None)


def amount_of(figures: Iterable[Figure], key: str) -> Decimal:
    """Return the amount of the figure with this key, 0 where there is none."""
    found = find(figures, key)
    return found.amount if found else NOTHING


def money_in_words(amount: Decimal, minor_unit: Decimal = CENT) -> str:
    """Write money for the words of `how`, to its minor unit: 4900 becomes 4,900.00."""
    return f"{round_money(amount, minor_unit):,}"


def plain(value: Decimal) -> str:
    """Write a number without needless zeros, for the words of `how`: 45.00 becomes 45."""
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
