"""What a delivery brings, as a service is told."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal

from inventory.base.calc.money import in_home_money
from inventory.base.refusals import Refusal
from inventory.ledger.calc import landed
from inventory.ledger.calc.landed import Charge, LandedLine
from inventory.models import Material, OrderLine, Place


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceFacts:
    """What is known of one piece as it arrives; lengths in mm, mass in g.

    `is_half` says that it is one part of a set that was split.
    """

    length_mm: Decimal | None = None
    width_mm: Decimal | None = None
    thickness_mm: Decimal | None = None
    mass_g: Decimal | None = None
    parts: int = 1
    grade: str = ""
    felled_on: date | None = None
    log: str = ""
    is_ready: bool = False
    is_half: bool = False
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NewLine:
    """One material of a delivery: `quantity` in base units, `price` for all of it.

    The price is in the money of the delivery; `foreign_price` keeps it once `price` is home money.
    `pack` is how many base units one pack holds, where its size is known.
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
    order_line: OrderLine | None = None
    foreign_price: Decimal | None = None
    pack: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Charges:
    """What a delivery cost on top: `carriage` in its own money, `duty` and `tax` in home money.

    `tax` can be reclaimed and is no part of the cost. `rate` is foreign money for one of home;
    with no `currency` everything is home money.
    """

    carriage: Decimal = Decimal(0)
    duty: Decimal = Decimal(0)
    tax: Decimal = Decimal(0)
    share_by: str = "value"
    currency: str = ""
    rate: Decimal | None = None


def lines_in_home_money(
    lines: Sequence[NewLine], charges: Charges, minor_unit: Decimal
) -> tuple[list[NewLine], Charges]:
    """Return lines and charges in home money, each price rounded on its own.

    Raises Refusal for a foreign delivery without its rate.
    """
    if not charges.currency:
        return list(lines), charges
    if charges.rate is None:
        raise Refusal(
            f"A delivery in {charges.currency} needs the exchange rate: {charges.currency} to "
            "one of your own currency.",
            field="rate",
        )
    rate = charges.rate
    turned = [
        replace(line, foreign_price=line.price, price=in_home_money(line.price, rate, minor_unit))
        for line in lines
    ]
    return turned, replace(charges, carriage=in_home_money(charges.carriage, rate, minor_unit))


def land_lines(
    lines: Sequence[NewLine],
    charges: Charges,
    minor_unit: Decimal,
) -> tuple[LandedLine, ...]:
    """Return each line, in home money, with its share of carriage and duty, in the order given.

    Raises Refusal when a charge can't be shared as asked.
    """
    facts = [
        landed.DeliveredLine(
            key=str(position + 1), price=line.price, count=line.quantity, mass=line.mass_g
        )
        for position, line in enumerate(lines)
    ]
    shared = [
        Charge(words=words, amount=amount, by=landed.ApportionBy(charges.share_by))
        for words, amount in (("Carriage", charges.carriage), ("Duty", charges.duty))
        if amount
    ]
    return landed.land(facts, shared, minor_unit)
