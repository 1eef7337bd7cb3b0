"""When something happened, when it was told, and by whom."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """The circumstances of a stock entry; `happened_at` may lie hours before `recorded_at`."""

    happened_at: datetime
    recorded_at: datetime
    user: Any = None


def told(now: datetime, happened_at: datetime | None = None, user: Any = None) -> Told:
    """Return the circumstances of something told at `now`."""
    return Told(happened_at=happened_at or now, recorded_at=now, user=user)
