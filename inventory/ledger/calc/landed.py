"""Landed cost: what a delivery's lines really cost once carriage, duty and tax are shared out."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from inventory.base.calc.money import share_out
from inventory.base.refusals import Refusal

CENT = Decimal("0.01")


class ApportionBy(StrEnum):
    """What a charge follows when it is shared over the lines of a delivery."""

    VALUE = "value"
    MASS = "mass"
    COUNT = "count"


@dataclass(frozen=True, slots=True, kw_only=True)
class DeliveredLine:
    """One line as delivered: `price` is the whole line's, a whole number of minor units.

    `mass` is the whole line's, in any one unit; `count` is how many came.
    """

    key: str
    price: Decimal
    count: Decimal = Decimal(1)
    mass: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Charge:
    """Carriage, duty, tax or (below 0) a discount on a delivery.

    `only` names the lines it falls on, all of them when empty. What can be reclaimed is no cost.
    """

    words: str
    amount: Decimal
    by: ApportionBy = ApportionBy.VALUE
    reclaimable: bool = False
    only: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class LandedLine:
    """A line with its share of each charge; `cost` is always the price plus the shares."""

    key: str
    price: Decimal
    shares: tuple[tuple[str, Decimal], ...]

    @property
    def cost(self) -> Decimal:
        """The landed cost of the whole line."""
        return self.price + sum((amount for _, amount in self.shares), Decimal(0))


@dataclass(frozen=True, slots=True, kw_only=True)
class Respread:
    """What pieces cost after one went back; `loss` is what no piece is left to carry."""

    costs: tuple[Decimal, ...]
    loss: Decimal


def land(
    lines: Sequence[DeliveredLine], charges: Sequence[Charge], minor_unit: Decimal = CENT
) -> tuple[LandedLine, ...]:
    """Share every charge over the lines; prices plus charges that stay equal the landed total.

    IAS 2 paragraphs 10 and 11: duties and tax that can't be reclaimed, transport and handling
    belong to the cost, discounts come off it. Raises Refusal when a charge has nothing to follow.
    """
    shares: dict[str, list[tuple[str, Decimal]]] = {line.key: [] for line in lines}
    for charge in charges:
        if charge.reclaimable:
            continue
        for key, amount in _share(charge, lines, minor_unit):
            shares[key].append((charge.words, amount))
    return tuple(
        LandedLine(key=line.key, price=line.price, shares=tuple(shares[line.key])) for line in lines
    )


def split_cost(cost: Decimal, pieces: int, minor_unit: Decimal = CENT) -> list[Decimal]:
    """Cut a line's cost into `pieces` costs that differ by one `minor_unit` at most and add up."""
    return share_out(cost, [1] * pieces, minor_unit)


def respread_after_return(
    cost: Decimal, credit: Decimal, pieces_left: int, minor_unit: Decimal = CENT
) -> Respread:
    """Spread what stays of a line's `cost` after the supplier's `credit` over the pieces kept.

    `cost` is what the pieces kept and the pieces that went back stood at together. Carriage that
    is not credited so falls on the pieces kept, or is a loss when none is.
    """
    rest = cost - credit
    if not pieces_left:
        return Respread(costs=(), loss=rest)
    return Respread(costs=tuple(split_cost(rest, pieces_left, minor_unit)), loss=Decimal(0))


def _share(
    charge: Charge, lines: Sequence[DeliveredLine], minor_unit: Decimal
) -> list[tuple[str, Decimal]]:
    bearing = [line for line in lines if not charge.only or line.key in charge.only]
    weights = [_weight(line, charge) for line in bearing]
    if not any(weights):
        raise Refusal(
            f"{charge.words} can't be shared by {charge.by}: no line has a {charge.by}. Share "
            "it by something else.",
            field="by",
        )
    return list(
        zip(
            (line.key for line in bearing),
            share_out(charge.amount, weights, minor_unit),
            strict=True,
        )
    )


def _weight(line: DeliveredLine, charge: Charge) -> Decimal:
    if charge.by is ApportionBy.VALUE:
        return line.price
    if charge.by is ApportionBy.COUNT:
        return line.count
    if line.mass is None:
        raise Refusal(
            f"{charge.words} is shared by mass, but line {line.key} has none. Enter its mass, "
            "or share by value or count.",
            field="by",
        )
    return line.mass
