"""What is to be ordered, as a service is told."""

from dataclasses import dataclass
from decimal import Decimal

from inventory.models import Material


@dataclass(frozen=True, slots=True, kw_only=True)
class ToOrder:
    """So much (base units) of a material; `price` for one unit as shown, in supplier's money."""

    material: Material
    quantity: Decimal
    price: Decimal | None = None
