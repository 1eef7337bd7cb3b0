"""What a holder's plans will take from the shelf."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db import transaction

from inventory.base.calc.units import round_quantity
from inventory.models import Material, Need


@dataclass(frozen=True, slots=True, kw_only=True)
class NeededLine:
    """The whole quantity (base units) of a material that one line of a holder takes."""

    material: Material
    quantity: Decimal
    line: str = ""


@transaction.atomic
def replace_demand(
    *,
    holder: str,
    holder_name: str,
    needs: Sequence[NeededLine],
    wanted_by: date | None = None,
) -> list[Need]:
    """Replace what `holder` needs by `needs`: whole quantities, drawn already or not.

    A need of nothing is left out. Promises end needs: see `release_reservations`.
    """
    Need.objects.filter(holder=holder).delete()
    wanted = [need for need in needs if round_quantity(need.quantity) > 0]
    return Need.objects.bulk_create(
        Need(
            holder=holder,
            holder_name=holder_name,
            material=need.material,
            quantity=round_quantity(need.quantity),
            line=need.line,
            wanted_by=wanted_by,
        )
        for need in wanted
    )
