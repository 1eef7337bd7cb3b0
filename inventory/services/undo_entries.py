"""Undo what was just done, all of it or nothing."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from django.db import transaction

from inventory.locking import lock_materials
from inventory.models import StockEntry
from inventory.services.correct_entry import correct_entry


@transaction.atomic
def undo_entries(
    *, entries: Sequence[StockEntry], now: datetime, why: str = "undone", user: Any = None
) -> list[StockEntry]:
    """Correct every one of `entries`, the last first. Raises Refusal when one can't be."""
    lock_materials([entry.material for entry in entries])
    newest_first = sorted(entries, key=lambda entry: entry.pk, reverse=True)
    return [correct_entry(entry=entry, now=now, why=why, user=user) for entry in newest_first]
