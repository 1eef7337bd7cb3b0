"""What a delivery brings, as a service is told."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from inventory.calc import landed
from inventory.calc.landed import Charge, LandedLine
from inventory.models import Material, Place


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceFacts:
    """What is known of one piece as it arrives; lengths in mm, mass in g."""

    length_mm: Decimal | None = None
    width_mm: Decimal | None = None
    thickness_mm: Decimal | None = None
    mass_g: Decimal | None = None
    parts: int = 1
    grade: str = ""
    felled_on: date | None = None
    log: str = ""
    is_ready: bool = False
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NewLine:
    """One material of a delivery: `quantity` in base units, `price` for all of it.

    Materials kept by the piece may bring `pieces`, one for each; what is missing is left blank.
    """

    material: Material
    quantity: Decimal
    price: Decimal
    mass_g: Decimal | None = None
    place: Place | None = None
    expires_on: date | None = None
    note: str = ""
    pieces: Sequence[PieceFacts] = field(default_factory=tuple)


def land_lines(
    lines: Sequence[NewLine],
    *,
    carriage: Decimal,
    duty: Decimal,
    share_by: str,
    unit: Decimal,
) -> tuple[LandedLine, ...]:
    """Return each line with its share of carriage and duty, in the order given.

    Raises Refusal when a charge can't be shared as asked.
    """
    facts = [
        landed.DeliveryLine(
            key=str(position), price=line.price, count=line.quantity, mass=line.mass_g
        )
        for position, line in enumerate(lines)
    ]
    charges = [
        Charge(words=words, amount=amount, by=landed.ShareBy(share_by))
        for words, amount in (("Carriage", carriage), ("Duty", duty))
        if amount
    ]
    return landed.land(facts, charges, unit)
