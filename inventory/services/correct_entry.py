"""Undo a stock entry by its counter-entry."""

from datetime import datetime
from typing import Any

from django.db import transaction

from inventory.locking import lock_materials
from inventory.models import StockEntry
from inventory.queries.acts import act_of, stands_alone
from inventory.refusals import Refusal
from inventory.services.counter_entries import counter_entries
from inventory.services.mark_broken_promises import mark_broken_promises


@transaction.atomic
def correct_entry(
    *, entry: StockEntry, now: datetime, why: str = "", user: Any = None
) -> StockEntry:
    """Post the opposite of `entry` and give back the promises it used up.

    Raises Refusal when the entry has been corrected or had returns, stands in one act with others,
    or brought in stock that has since been used.
    """
    material = lock_materials([entry.material])[entry.material_id]
    if not stands_alone(act_of(entry)):
        raise Refusal(
            f"An entry “{entry.get_reason_display()}” is not corrected by itself: "
            "take back the whole of what was done with it."
        )
    (counter,) = counter_entries(entries=[entry], now=now, why=why, user=user)
    if counter.quantity < 0:
        mark_broken_promises(entries=[counter], material=material)
    return counter
