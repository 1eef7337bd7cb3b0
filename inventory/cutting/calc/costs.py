"""Cutting: the saw's terms, and how the cost of what was cut falls on parts, remnants and loss."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from inventory.base.calc.money import share_out
from inventory.base.refusals import Refusal

CENT = Decimal("0.01")
_ZERO = Decimal(0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Saw:
    """How stock is cut, in mm: what the saw takes, and what is too small to keep.

    `trim` is cut off both ends before anything else. A remnant goes back to stock when it is at
    least `least_length` long and, on a board, `least_width` wide.
    """

    kerf: Decimal = _ZERO
    trim: Decimal = _ZERO
    least_length: Decimal = _ZERO
    least_width: Decimal = _ZERO

    def __post_init__(self) -> None:
        if min(self.kerf, self.trim, self.least_length, self.least_width) < 0:
            raise Refusal("Kerf, trim and smallest remnant must be at least 0.", field="kerf")


class Loss(StrEnum):
    """How a spoilt part is booked: on the good ones, or as a loss of its own (IAS 2, 16)."""

    NORMAL = "normal"
    ABNORMAL = "abnormal"


@dataclass(frozen=True, slots=True)
class CutCosts:
    """The cost of a piece after cutting; remnants and parts together are the cost before."""

    remnants: tuple[Decimal, ...]
    parts: tuple[Decimal, ...]


@dataclass(frozen=True, slots=True)
class LossBooked:
    """The cost of each part after a loss, 0 for the spoilt, and what no part carries."""

    parts: tuple[Decimal, ...]
    loss: Decimal


def share_cut_cost(
    cost: Decimal,
    usable: Decimal,
    *,
    remnants: Sequence[Decimal],
    parts: Sequence[Decimal],
    minor_unit: Decimal = CENT,
) -> CutCosts:
    """Share the `cost` of a cut piece: a remnant takes its share of `usable`, parts the rest.

    `usable`, `remnants` and `parts` are in one measure (mm, or mm² of a board); trim, kerf and
    scrap so fall on the parts. Raises ValueError when the remnants are more than `usable`.
    """
    rest = usable - sum(remnants, _ZERO)
    if rest < 0:
        raise ValueError(f"Remnants of {usable - rest} can't come from {usable}.")
    if not parts:
        return CutCosts(tuple(share_out(cost, remnants, minor_unit)), ())
    *kept, for_parts = share_out(cost, [*remnants, rest], minor_unit)
    return CutCosts(tuple(kept), tuple(share_out(for_parts, parts, minor_unit)))


def book_loss(
    costs: Sequence[Decimal],
    weights: Sequence[Decimal],
    spoilt: Collection[int],
    kind: Loss,
    minor_unit: Decimal = CENT,
) -> LossBooked:
    """Book the parts at the indexes `spoilt` as lost; costs and loss still add up to the same.

    As normal loss the good parts share all costs by `weights` (their size); as abnormal loss each
    keeps its own. With no good part left all of it is a loss.
    """
    good = [index for index in range(len(costs)) if index not in spoilt]
    if kind is Loss.NORMAL and good:
        shares = share_out(sum(costs, _ZERO), [weights[index] for index in good], minor_unit)
        after = dict(zip(good, shares, strict=True))
    else:
        after = {index: costs[index] for index in good}
    parts = tuple(after.get(index, _ZERO) for index in range(len(costs)))
    return LossBooked(parts, sum(costs, _ZERO) - sum(parts, _ZERO))
