"""What a delivery brings, as a service is told."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

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
