"""When something happened, when it was told, and by whom."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any

from inventory.models import StockEntry


@dataclass(slots=True, kw_only=True)
class Told:
    """The circumstances of one act; `happened_at` may lie hours before `recorded_at`.

    `first` is the first entry that was written of it: `post_entry` ties the others to that one.
    """

    happened_at: datetime
    recorded_at: datetime
    user: Any = None
    first: StockEntry | None = None


def told(now: datetime, happened_at: datetime | None = None, user: Any = None) -> Told:
    """Return the circumstances of an act told at `now`."""
    return Told(happened_at=happened_at or now, recorded_at=now, user=user)
