"""Days that a build lost on its way, added up by reason."""

from collections.abc import Iterable
from dataclasses import dataclass

USUAL_REASONS = (
    "waiting for parts",
    "waiting for wood",
    "waiting for the client",
    "illness",
    "made again",
    "repairs came first",
    "too damp or too cold to finish",
)
"""What makers lose days to, to begin with; each shop adds words of its own."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LostTime:
    """Days lost to one reason."""

    reason: str
    days: int


def add_up_lost(lost: Iterable[tuple[str, int]]) -> tuple[LostTime, ...]:
    """Return the days of each reason, the most first; capitals make no other reason."""
    sums: dict[str, LostTime] = {}
    for reason, days in lost:
        before = sums.get(reason.casefold())
        sums[reason.casefold()] = LostTime(
            reason=before.reason if before else reason, days=days + (before.days if before else 0)
        )
    return tuple(sorted(sums.values(), key=lambda one: (-one.days, one.reason)))
