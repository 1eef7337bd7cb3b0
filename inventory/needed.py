"""What a holder's plans will take, as a service is told."""

from dataclasses import dataclass
from decimal import Decimal

from inventory.models import Material


@dataclass(frozen=True, slots=True, kw_only=True)
class NeededLine:
    """The whole quantity (base units) of a material that one line of a holder takes."""

    material: Material
    quantity: Decimal
    line: str = ""
