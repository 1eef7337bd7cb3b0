"""Book a whole cutting plan, or nothing of it."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.db import transaction

from inventory.cuts import CutJob
from inventory.locking import lock_materials
from inventory.models import Lot
from inventory.refusals import Refusal
from inventory.services.cut_stock import cut_stock


@transaction.atomic
def cut_by_plan(*, jobs: Sequence[CutJob], now: datetime, user: Any = None) -> list[Lot]:
    """Cut every lot of the plan; return the lots of parts and remnants.

    Raises Refusal when a lot no longer has what the plan was made for: plan again then.
    """
    lock_materials(
        [job.lot.material for job in jobs]
        + [part.material for job in jobs for part in [*job.parts, *job.remnants]]
    )
    made: list[Lot] = []
    for job in jobs:
        fresh = Lot.objects.select_related("material").get(pk=job.lot.pk)
        if fresh.remaining < job.quantity:
            raise Refusal(f"{fresh.number} has changed since this was planned. Plan it again.")
        made += cut_stock(
            lot=fresh,
            parts=job.parts,
            remnants=job.remnants,
            usable=job.usable,
            quantity=job.quantity,
            now=now,
            user=user,
        )
    return made
