"""Cut a board, bar, coil or billet into parts and remnants."""

from collections.abc import Sequence
from datetime import datetime
from decimal import Decimal
from typing import Any

from django.db import transaction

from inventory.calc.cutting import share_cut_cost
from inventory.cuts import CutPart
from inventory.locking import lock_materials
from inventory.models import Lot, Reason
from inventory.money import home_unit
from inventory.refusals import Refusal
from inventory.services.make_lot import make_lot
from inventory.services.post_entry import post_entry
from inventory.services.take_from_shelf import take_from_shelf
from inventory.stock_refusals import check_quantity
from inventory.told import Told, told


@transaction.atomic
def cut_stock(
    *,
    lot: Lot,
    parts: Sequence[CutPart],
    usable: Decimal,
    now: datetime,
    quantity: Decimal = Decimal(1),
    remnants: Sequence[CutPart] = (),
    note: str = "",
    user: Any = None,
) -> list[Lot]:
    """Take `quantity` of `lot` to the saw; return the lots of the parts, then of the remnants.

    A remnant takes its share of `usable` (mm, or mm² of a board) of the cost, the parts carry the
    rest: trim, kerf and scrap cost nothing of their own. Raises Refusal when the remnants are more
    than there was.
    """
    if not parts and not remnants:
        raise Refusal("A cut leaves at least one part or remnant.", field="parts")
    locked = lock_materials([lot.material, *(part.material for part in [*parts, *remnants])])
    material = locked[lot.material_id]
    circumstances = told(now, None, user)
    taken = take_from_shelf(
        material=material,
        quantity=check_quantity(material, quantity),
        reason=Reason.CUT,
        told=circumstances,
        lot=lot,
        note=note,
    )
    costs = _shares(-sum((entry.cost for entry in taken), Decimal(0)), usable, parts, remnants)
    return [
        _put_on_shelf(lot, part, cost, circumstances)
        for part, cost in zip([*parts, *remnants], costs, strict=True)
    ]


def _shares(
    cost: Decimal, usable: Decimal, parts: Sequence[CutPart], remnants: Sequence[CutPart]
) -> list[Decimal]:
    left = [part.measure for part in remnants]
    if sum(left, Decimal(0)) > usable:
        raise Refusal("The remnants are more than there was to cut.", field="remnants")
    shares = share_cut_cost(
        cost, usable, remnants=left, parts=[part.measure for part in parts], unit=home_unit()
    )
    return [*shares.parts, *shares.remnants]


def _put_on_shelf(source: Lot, part: CutPart, cost: Decimal, circumstances: Told) -> Lot:
    """Number the part; it is as old, and from the same supplier, as what it was cut from."""
    own = make_lot(
        material=part.material,
        received_on=source.received_on,
        supplier=source.supplier,
        cut_from=source,
        place=part.place or source.place,
        country=source.country,
        piece=part.piece,
    )
    post_entry(
        material=part.material,
        lot=own,
        reason=Reason.CUT,
        quantity=check_quantity(part.material, part.quantity),
        cost=cost,
        told=circumstances,
    )
    return own
