"""When something happened, when it was told, and by whom."""

from dataclasses import dataclass
from datetime import datetime

from inventory.base.people import Person
from inventory.models import StockEntry


@dataclass(slots=True, kw_only=True)
class PostingContext:
    """When and by whom one posting group was made; it may be recorded hours later.

    `first` is the first entry that was written of it: `post_entry` ties the others to that one.
    """

    happened_at: datetime
    recorded_at: datetime
    user: Person | None = None
    first: StockEntry | None = None


def posting_context(
    now: datetime, happened_at: datetime | None = None, user: Person | None = None
) -> PostingContext:
    """Return the context of what is recorded at `now`."""
    return PostingContext(happened_at=happened_at or now, recorded_at=now, user=user)
