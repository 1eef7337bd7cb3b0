"""Days lost on a build, and what set-up figures are commonly aimed at."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

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


INCH_MM = Decimal("25.4")


@dataclass(frozen=True, slots=True)
class Target:
    """From `low` to `high`, in mm, or in cents for intonation."""

    low: Decimal
    high: Decimal

    def __str__(self) -> str:
        return f"± {self.high}" if self.low == -self.high else f"{self.low} to {self.high}"

    def holds(self, value: Decimal) -> bool:
        """Say whether `value` lies within, both ends included."""
        return self.low <= value <= self.high


def _target(text: str) -> Target:
    low, high = text.split()
    return Target(Decimal(low), Decimal(high))


MEASURES = (
    "scale",
    "action_treble",
    "action_bass",
    "relief",
    "fretted_gap",
    "open_gap",
    "intonation_treble",
    "intonation_bass",
    "nut_width",
)
CENTS = frozenset({"intonation_treble", "intonation_bass"})
_TABLE = {
    "octave mandolin": "500 560|1.6 2.0|2.0 2.5|0.10 0.20|0.05 0.12|0.35 0.6|-3 3|-3 3|32 36",
    "mandocello": "620 660|1.8 2.2|2.3 2.8|0.15 0.30|0.05 0.15|0.4 0.7|-4 4|-4 4|36 42",
    "electric mandolin": "345 356|1.0 1.4|1.3 1.8|0.03 0.12|0.03 0.08|0.25 0.4|-2 2|-2 2|28 30",
    "electric guitar": "628 648|1.2 1.6|1.6 2.0|0.10 0.25|0.05 0.10|0.3 0.5|-2 2|-2 2|42 43",
    "mandolin": "350 356|1.2 1.6|1.6 2.0|0.05 0.15|0.03 0.10|0.25 0.50|-3 3|-3 3|28.6 30",
    "flat-top guitar": "630 650|1.6 2.0|2.0 2.5|0.12 0.25|0.05 0.15|0.4 0.65|-3 3|-3 3|43 46",
}
"""Common practice, no source; the narrower kinds stand before the wider."""

TARGETS: dict[str, dict[str, Target]] = {
    kind: dict(zip(MEASURES, map(_target, row.split("|")), strict=True))
    for kind, row in _TABLE.items()
}
_NAMES = {kind: (kind,) for kind in _TABLE} | {"flat-top guitar": ("guitar",)}


def kind_named_in(words: str) -> str:
    """Return the kind of instrument that `words`, such as a title, speak of; else nothing."""
    said = words.casefold()
    return next((kind for kind, names in _NAMES.items() if any(n in said for n in names)), "")


def thousandths(millimetres: Decimal) -> Decimal:
    """Turn mm into thousandths of an inch, at full precision."""
    return millimetres / INCH_MM * 1000


def from_thousandths(value: Decimal) -> Decimal:
    """Turn thousandths of an inch into mm, exactly."""
    return value * INCH_MM / 1000
