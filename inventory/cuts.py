"""What comes out of a cut, as a service is told."""

from dataclasses import dataclass, field
from decimal import Decimal

from inventory.arrivals import PieceFacts
from inventory.models import Lot, Material, Place

ONE = Decimal(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class CutPart:
    """One part or remnant: `quantity` base units of `material`, for a piece always 1.

    `measure` is its length in mm, or its area in mm² on a board: cost is shared by it.
    """

    material: Material
    measure: Decimal
    quantity: Decimal = ONE
    piece: PieceFacts = field(default_factory=PieceFacts)
    place: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CutJob:
    """One lot at the saw: how much of it is taken, and what comes of that."""

    lot: Lot
    quantity: Decimal
    usable: Decimal
    parts: tuple[CutPart, ...]
    remnants: tuple[CutPart, ...]
