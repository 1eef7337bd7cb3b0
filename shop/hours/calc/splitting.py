"""Time shared by a batch: split over its builds so that the parts add up.

Shares are whole seconds, so 75 minutes over two builds are 37.5 minutes each, exactly.
"""

from collections.abc import Sequence
from decimal import Decimal

from inventory.base.calc.hours import format_minutes
from inventory.base.calc.money import share_out
from shop.hours.calc.durations import minutes_of

ONE_SECOND = Decimal(1)


def split_equally(seconds: int, builds: int) -> list[int]:
    """Return the seconds of each of `builds` builds; they differ by one second at most."""
    return _split(seconds, [Decimal(1)] * builds)


def split_by_likely(seconds: int, likely_hours: Sequence[Decimal]) -> list[int]:
    """Return the seconds of each build in proportion to its likely hours for the stage.

    Raises ValueError when no build has likely hours above 0, or one has them below 0.
    """
    return _split(seconds, likely_hours)


def split_by_hand(seconds: int, parts: Sequence[int]) -> list[int]:
    """Return `parts`, the seconds that the maker gave each build, once they make up the whole.

    Raises ValueError with a sentence that says how far off they are.
    """
    if any(part < 0 for part in parts):
        raise ValueError("Enter 0 or more for each build.")
    missing = seconds - sum(parts)
    if missing:
        raise ValueError(
            f"The parts add up to {_shown(sum(parts))}, but the entry is {_shown(seconds)}: "
            f"{_shown(abs(missing))} {('missing' if missing > 0 else 'too much')}."
        )
    return list(parts)


def _split(seconds: int, weights: Sequence[Decimal]) -> list[int]:
    return [int(part) for part in share_out(Decimal(seconds), weights, ONE_SECOND)]


def _shown(seconds: int) -> str:
    whole, rest = divmod(seconds, 60)
    return f"{format_minutes(whole)} and {rest} s" if rest else format_minutes(minutes_of(seconds))
