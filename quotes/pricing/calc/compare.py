"""Two versions of a price side by side: what was added, taken out and changed."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from quotes.base.calc.figures import NOTHING, Figure
from quotes.pricing.calc.pricing import PriceSheet


class ChangeKind(StrEnum):
    """What became of a figure between two versions."""

    ADDED = "added"
    REMOVED = "removed"
    CHANGED = "changed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """One figure that is not the same in both versions; `parts` are what differs inside it.

    `before` is None for an added figure and `after` for a removed one.
    """

    name: str
    change: ChangeKind
    before: Decimal | None
    after: Decimal | None
    how_before: str = ""
    how_after: str = ""
    parts: tuple["Difference", ...] = ()

    @property
    def amount(self) -> Decimal:
        """How much more it is now; below 0 for less."""
        return (self.after or NOTHING) - (self.before or NOTHING)


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetDifference:
    """Two price sheets compared: the steps that differ and how far the totals moved."""

    steps: tuple[Difference, ...]
    hours: Decimal
    price: Decimal
    net: Decimal
    tax: Decimal
    gross: Decimal


def compare_sheets(before: PriceSheet, after: PriceSheet) -> SheetDifference:
    """Compare two price sheets, such as two versions of a quote or one with an option switched on.

    The amounts of `steps` add up to the difference of the nets.
    """
    return SheetDifference(
        steps=compare_figures(before.steps, after.steps),
        hours=after.hours - before.hours,
        price=after.price - before.price,
        net=after.net - before.net,
        tax=after.tax - before.tax,
        gross=after.gross - before.gross,
    )


def compare_figures(before: Iterable[Figure], after: Iterable[Figure]) -> tuple[Difference, ...]:
    """Return what differs, in the order of `after` and then what was taken out.

    Figures are the same one when their keys agree, or their names where they have no key; the
    second of two alike is paired with the second.
    """
    old, new = _numbered(before), _numbered(after)
    differences = [_difference(old.get(place), figure) for place, figure in new.items()]
    differences += [_removed(figure) for place, figure in old.items() if place not in new]
    return tuple(difference for difference in differences if difference)


def _numbered(figures: Iterable[Figure]) -> dict[tuple[str, int], Figure]:
    seen: Counter[str] = Counter()
    placed = {}
    for figure in figures:
        name = figure.key or figure.name
        placed[name, seen[name]] = figure
        seen[name] += 1
    return placed


def _difference(before: Figure | None, after: Figure) -> Difference | None:
    if before == after:
        return None
    return Difference(
        name=after.name,
        change=ChangeKind.CHANGED if before else ChangeKind.ADDED,
        before=before.amount if before else None,
        after=after.amount,
        how_before=before.how if before else "",
        how_after=after.how,
        parts=compare_figures(before.parts, after.parts) if before else (),
    )


def _removed(figure: Figure) -> Difference:
    return Difference(
        name=figure.name,
        change=ChangeKind.REMOVED,
        before=figure.amount,
        after=None,
        how_before=figure.how,
    )
