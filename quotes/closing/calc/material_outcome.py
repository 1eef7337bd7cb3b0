"""Quoted against actual material, split into price, quantity, scrap and substitute."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from inventory.base.calc.money import round_money
from quotes.base.calc.figures import CENT, NOTHING


@dataclass(frozen=True, slots=True, kw_only=True)
class QuotedMaterial:
    """A material as quoted: `cost` is the whole line, `waste` the part of it allowed for waste.

    `quantity` is without waste, in the material's base unit.
    """

    quantity: Decimal = NOTHING
    cost: Decimal = NOTHING
    waste: Decimal = NOTHING


@dataclass(frozen=True, slots=True, kw_only=True)
class ActualMaterial:
    """A material as drawn: what went into the build, and `scrap`, the cost of what was lost.

    `cost` and `quantity` are without scrap. A `substitute` is another material than was quoted.
    """

    quantity: Decimal = NOTHING
    cost: Decimal = NOTHING
    scrap: Decimal = NOTHING
    substitute: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class MaterialOutcome:
    """How far a material's cost was off, and why. Below 0 is money saved.

    A line that was quoted, and for which nothing was drawn or priced, is not `is_known`: its
    actual of 0 says nothing.

    Raises ValueError when the four parts don't add up to the difference.
    """

    name: str
    quoted: Decimal
    actual: Decimal
    price: Decimal
    quantity: Decimal
    scrap: Decimal
    substitute: Decimal
    is_known: bool = True

    def __post_init__(self) -> None:
        parts = self.price + self.quantity + self.scrap + self.substitute
        if parts != self.difference:
            raise ValueError(f"{self.name}: the parts come to {parts}, not {self.difference}.")

    @property
    def difference(self) -> Decimal:
        """Actual less quoted."""
        return self.actual - self.quoted


def compare_material(
    name: str,
    quoted: QuotedMaterial,
    actual: ActualMaterial,
    minor_unit: Decimal = CENT,
    *,
    is_known: bool = True,
) -> MaterialOutcome:
    """Split one material's difference.

    Scrap is what was lost beyond the waste allowed; quantity is the extra quantity at the quoted
    price; price is what remains. All of a substitute's difference but its scrap is `substitute`.
    What was not quoted at all is quantity, and scrap what was lost of it.
    """
    planned = quoted.cost - quoted.waste
    moved = actual.cost - planned
    quantity = NOTHING if actual.substitute else _quantity_part(quoted, actual, minor_unit)
    return MaterialOutcome(
        name=name,
        quoted=quoted.cost,
        actual=actual.cost + actual.scrap,
        price=NOTHING if actual.substitute else moved - quantity,
        quantity=quantity,
        scrap=actual.scrap - quoted.waste,
        substitute=moved if actual.substitute else NOTHING,
        is_known=is_known,
    )


def add_up_materials(outcomes: Iterable[MaterialOutcome], name: str = "Total") -> MaterialOutcome:
    """Return the sums of the lines shown."""
    outcomes = tuple(outcomes)
    columns = ("quoted", "actual", "price", "quantity", "scrap", "substitute")
    sums: dict[str, Any] = {
        column: sum((getattr(each, column) for each in outcomes), NOTHING) for column in columns
    }
    return MaterialOutcome(name=name, **sums)


def _quantity_part(quoted: QuotedMaterial, actual: ActualMaterial, minor_unit: Decimal) -> Decimal:
    planned = quoted.cost - quoted.waste
    if not quoted.quantity:
        return NOTHING if planned else actual.cost
    extra = actual.quantity - quoted.quantity
    return round_money(extra * planned / quoted.quantity, minor_unit)
