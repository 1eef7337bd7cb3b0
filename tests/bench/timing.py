"""Medians of repeated runs, each beside the bare thing that it can't beat."""

import gc
import statistics
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One measurement: medians in seconds; `bare` is what it is held against, `wanted` a ratio."""

    what: str
    seconds: float
    against: str = ""
    bare: float | None = None
    wanted: float | None = None

    @property
    def ratio(self) -> float | None:
        return self.seconds / self.bare if self.bare else None


def median_of(act: Callable[[], object], runs: int = 9, warm: int = 2) -> float:
    """Return the median time of `runs` calls of `act`, after `warm` uncounted ones."""
    for _ in range(warm):
        act()
    return statistics.median(_one(act) for _ in range(runs))


def medians_of(
    act: Callable[[], object], bare: Callable[[], object], runs: int = 9, warm: int = 2
) -> tuple[float, float]:
    """Return the medians of two acts called in turn, so that a slow moment hits both alike."""
    for _ in range(warm):
        act()
        bare()
    pairs = [(_one(act), _one(bare)) for _ in range(runs)]
    return statistics.median(a for a, _ in pairs), statistics.median(b for _, b in pairs)


def table(rows: Iterable[Row]) -> str:
    """Set rows as a plain table: milliseconds, ratio, and the ratio that is wanted."""
    lines = [f"{'':<58}{'median':>11}{'beside':>11}{'ratio':>8}{'wanted':>8}"]
    for row in rows:
        bare = f"{row.bare * 1000:.2f} ms" if row.bare is not None else ""
        ratio = f"{row.ratio:.2f}" if row.ratio is not None else ""
        wanted = f"{row.wanted:.2f}" if row.wanted is not None else ""
        lines.append(f"{row.what:<58}{row.seconds * 1000:>8.2f} ms{bare:>11}{ratio:>8}{wanted:>8}")
        if row.against:
            lines.append(f"    beside {row.against}")
    return "\n".join(lines)


def _one(act: Callable[[], object]) -> float:
    gc.collect()
    begin = time.perf_counter()
    act()
    return time.perf_counter() - begin
