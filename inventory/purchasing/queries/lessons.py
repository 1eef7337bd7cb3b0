"""What a delivery teaches: price, supplier, lead time and pack, beside the old ones."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.base.calc.units import from_base
from inventory.ledger.calc.landed import LandedLine
from inventory.ledger.services.incoming import NewLine
from inventory.models import Material, Supplier

TEN_THOUSANDTH = Decimal("0.0001")


@dataclass(frozen=True, slots=True, kw_only=True)
class Lesson:
    """A material as it is known, and what a delivery says of it; None where it says nothing.

    `price` is what one cost landed, in home money per unit as shown; `lead_days` is from the order
    to the shelf, `pack` the base units of one pack.
    """

    material: Material
    price: Decimal | None
    supplier: Supplier | None
    lead_days: int | None
    pack: Decimal | None = None

    @property
    def more_percent(self) -> Decimal | None:
        """By how many percent the price differs from the replacement price so far."""
        before = self.material.replacement_price
        return (self.price / before - 1) * 100 if self.price is not None and before else None


def lessons_of(
    lines: Iterable[tuple[NewLine, LandedLine]], supplier: Supplier | None, on: date
) -> list[Lesson]:
    """Return one lesson for each material of a delivery that came on the day; the last line counts.

    What cost nothing teaches no price.
    """
    lessons = {
        line.material.pk: Lesson(
            material=line.material,
            price=_price_of_one(line, landed),
            supplier=supplier,
            lead_days=_lead_days(line, on),
            pack=line.pack,
        )
        for line, landed in lines
    }
    return list(lessons.values())


def _price_of_one(line: NewLine, landed: LandedLine) -> Decimal | None:
    if not landed.cost:
        return None
    return (landed.cost / from_base(line.quantity, line.material.unit)).quantize(TEN_THOUSANDTH)


def _lead_days(line: NewLine, on: date) -> int | None:
    sent_on = line.order_line.order.sent_on if line.order_line else None
    return (on - sent_on).days if sent_on and sent_on <= on else None
