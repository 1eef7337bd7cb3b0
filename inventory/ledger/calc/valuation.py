"""What stock that goes out costs: first in first out, moving average, or a named lot."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from inventory.base.calc.money import round_money

CENT = Decimal("0.01")
_ZERO = Decimal(0)


@dataclass(frozen=True, slots=True)
class Layer:
    """What is left of one lot: quantity in base units, and the cost of all of it.

    `cost` is a whole number of minor units, so that takings can conserve it.
    """

    key: str
    quantity: Decimal
    cost: Decimal


@dataclass(frozen=True, slots=True)
class Taken:
    """What was taken out of one layer, and its cost."""

    key: str
    quantity: Decimal
    cost: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Taking:
    """A draw: what was taken, what is left, and the quantity that no layer covered."""

    taken: tuple[Taken, ...]
    left: tuple[Layer, ...]
    uncovered: Decimal

    @property
    def quantity(self) -> Decimal:
        """The quantity that the layers covered."""
        return sum((part.quantity for part in self.taken), _ZERO)

    @property
    def cost(self) -> Decimal:
        """The cost of what the layers covered."""
        return sum((part.cost for part in self.taken), _ZERO)


def take_fifo(layers: Sequence[Layer], quantity: Decimal, minor_unit: Decimal = CENT) -> Taking:
    """Take `quantity` out of `layers`, given oldest first.

    Cost taken plus cost left equals the cost before, to the minor unit: a layer that is used up
    gives all its cost. What is not there is reported as uncovered, never refused.
    Raises ValueError when `quantity` is below 0.
    """
    if quantity < 0:
        raise ValueError("A draw can't be below 0.")
    taken: list[Taken] = []
    left: list[Layer] = []
    wanted = quantity
    for layer in layers:
        part = _take_from_one(layer, min(wanted, max(layer.quantity, _ZERO)), minor_unit)
        wanted -= part.quantity
        taken.append(part)
        left.append(_rest(layer, part))
    return Taking(
        taken=tuple(part for part in taken if part.quantity),
        left=tuple(layer for layer in left if layer.quantity),
        uncovered=wanted,
    )


def take_average(layers: Sequence[Layer], quantity: Decimal, minor_unit: Decimal = CENT) -> Taking:
    """Take `quantity` at the average cost of all `layers`; the layer left is the pool.

    Called after each receipt this is the moving average of IAS 2 paragraph 27.
    """
    return take_fifo(_pooled(layers), quantity, minor_unit)


def pool(layers: Iterable[Layer], key: str = "pool") -> Layer:
    """Put `layers` together as one, for an average cost."""
    together = list(layers)
    return Layer(
        key,
        sum((layer.quantity for layer in together), _ZERO),
        sum((layer.cost for layer in together), _ZERO),
    )


def carrying_value(cost: Decimal, realisable: Decimal | None) -> Decimal:
    """Return the lower of cost and realisable value (IAS 2 paragraph 9); cost when not known."""
    return cost if realisable is None else min(cost, realisable)


def _pooled(layers: Sequence[Layer]) -> list[Layer]:
    return [pool(layers)] if layers else []


def _take_from_one(layer: Layer, quantity: Decimal, minor_unit: Decimal) -> Taken:
    if quantity == layer.quantity:
        return Taken(layer.key, quantity, layer.cost)
    return Taken(
        layer.key, quantity, round_money(layer.cost * quantity / layer.quantity, minor_unit)
    )


def _rest(layer: Layer, part: Taken) -> Layer:
    return Layer(layer.key, layer.quantity - part.quantity, layer.cost - part.cost)
