"""Time shared by a batch: split over its builds so that the parts add up, then priced.

Shares are whole seconds, so 75 minutes over two builds are 37.5 minutes each, exactly.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from inventory.calc.money import round_money, share_out
from shop.calc.durations import format_minutes, minutes_of

ONE_SECOND = Decimal(1)


@dataclass(frozen=True, slots=True, kw_only=True)
class LabourCost:
    """What time costs: one rounded line for each build, and the total of those lines."""

    lines: tuple[Decimal, ...]
    total: Decimal

    def __post_init__(self) -> None:
        if sum(self.lines, Decimal(0)) != self.total:
            raise ValueError(f"The lines {self.lines} do not add up to {self.total}.")


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
        raise ValueError("A build can't have less than no time. Give each build 0 or more.")
    missing = seconds - sum(parts)
    if missing:
        raise ValueError(
            f"The parts add up to {_shown(sum(parts))}, but the entry is {_shown(seconds)}: "
            f"{_shown(abs(missing))} {'still to give' if missing > 0 else 'too much'}."
        )
    return list(parts)


def cost_of_time(seconds: int, rate: Decimal, unit: Decimal = Decimal("0.01")) -> Decimal:
    """Return what `seconds` cost at `rate` money an hour, rounded half up to `unit`."""
    return round_money(rate * seconds / 3600, unit)


def labour_cost(
    seconds: Sequence[int], rate: Decimal, unit: Decimal = Decimal("0.01")
) -> LabourCost:
    """Price each build's seconds as one shown line; the total is the sum of the shown lines."""
    lines = tuple(cost_of_time(part, rate, unit) for part in seconds)
    return LabourCost(lines=lines, total=sum(lines, Decimal(0)))


def _split(seconds: int, weights: Sequence[Decimal]) -> list[int]:
    return [int(part) for part in share_out(Decimal(seconds), weights, ONE_SECOND)]


def _shown(seconds: int) -> str:
    whole, rest = divmod(seconds, 60)
    return f"{format_minutes(whole)} and {rest} s" if rest else format_minutes(minutes_of(seconds))
