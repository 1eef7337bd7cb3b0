"""What was drawn for a build, what came of it since, and what of it is still out."""

from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal

from inventory.models import Reason, StockEntry
from shop.models import Build, BuildDraw


@dataclass(frozen=True, slots=True, kw_only=True)
class Later:
    """What happened to a draw afterwards: the word for it, how much (base units), and when."""

    words: str
    quantity: Decimal
    happened_at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawShown:
    """A draw with what followed; `out` (base units) can still be returned or scrapped."""

    draw: BuildDraw
    later: tuple[Later, ...]
    out: Decimal


def draws_of(build: Build) -> list[DrawShown]:
    """Return every draw and scrap of `build`, the last first, in two queries."""
    rows = build.draws.select_related("line", "stage", "entry__material", "entry__lot")
    draws = list(rows.prefetch_related("entry__followed_by").order_by("-pk"))
    scraps = {_moment(draw.entry) for draw in draws if draw.entry.reason == Reason.SCRAPPED}
    return [_shown(draw, scraps) for draw in draws]


def _shown(draw: BuildDraw, scraps: set[tuple[datetime, int | None]]) -> DrawShown:
    entry = draw.entry
    followed = list(entry.followed_by.all())
    left = -(entry.quantity + sum(one.quantity for one in followed))
    return DrawShown(
        draw=draw,
        later=tuple(
            Later(words=_words(one, scraps), quantity=one.quantity, happened_at=one.happened_at)
            for one in followed
        ),
        out=left if entry.reason == Reason.DRAWN else Decimal(0),
    )


def _words(entry: StockEntry, scraps: set[tuple[datetime, int | None]]) -> str:
    """What is scrapped out of a draw returns from it at the moment at which it is scrapped."""
    if entry.reason == Reason.RETURNED and _moment(entry) in scraps:
        return str(Reason.SCRAPPED.label)
    return entry.get_reason_display()


def _moment(entry: StockEntry) -> tuple[datetime, int | None]:
    return entry.recorded_at, entry.lot_id
