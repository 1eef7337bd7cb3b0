"""Shops that are played out day by day, to judge what the queue said of them.

Written apart from the queue: plain numbers, one loop over days, no arrays. The maker works each
day on the first build in the order that can go on, puts a stage down at the end of the day, and
takes up an earlier build again as soon as it can go on. Figures of a carved mandolin; how hours,
failures and lost days stray is common practice, no source.
"""

import math
import random
from dataclasses import dataclass, field

STAGES = (
    ("stock", 2, 0), ("join", 2.5, 1), ("top", 14, 7), ("back", 8, 7), ("ribs", 6.5, 2),
    ("close", 2.5, 2), ("binding", 7, 2), ("neck", 6, 2), ("board", 5, 1), ("joint", 5, 4),
    ("carve", 3, 3), ("fret", 4, 1), ("sand", 8, 1), ("finish", 6.5, 5), ("buff", 6, 21),
    ("bridge", 4.5, 0), ("set-up", 4.5, 7), ("pack", 1.5, 0),
)  # fmt: skip
WEEK = (5, 5, 5, 5, 4, 0, 0)
FAILS = {"top": (12, 10.0), "ribs": (10, 3.0), "finish": (8, 4.0)}
"""Stage → one in so many, hours redone."""

MOULD_FROM, MOULD_TO = 4, 5


@dataclass
class Played:
    """One build as it goes: true hours left of each stage, and where it stands."""

    left: list[float]
    worked: list[float]
    at: int = 0
    free_from: int = 0
    mould: bool = False
    again: float = 0.0
    ready: int | None = None
    done: set[int] = field(default_factory=set)


@dataclass
class SimulatedShop:
    """What is true of one shop, and the level of each stage as past builds told it."""

    rng: random.Random
    builds: list[Played]
    moulds: int
    slow: float
    share: float
    told: list[float]
    day: int = 0
    lost: int = 0
    week: float = 1.0


def open_shop(seed: int, builds: int) -> SimulatedShop:
    """A shop with so many open builds, looked at on some day while the first are being made."""
    rng = random.Random(seed)
    shop = SimulatedShop(
        rng=rng,
        builds=[],
        moulds=1 if builds < 10 else 3,
        slow=rng.gauss(0, 0.10),
        share=min(0.9 * math.exp(rng.gauss(0, 0.05)), 1),
        told=[math.log(hours) + rng.gauss(0, 0.08) for _, hours, _ in STAGES],
    )
    for _ in range(builds):
        mine = rng.gauss(0, 1)
        left = [
            math.exp(
                math.log(hours)
                + shop.slow
                + 0.3 * (math.sqrt(0.3) * mine + math.sqrt(0.7) * rng.gauss(0, 1))
            )
            for _, hours, _ in STAGES
        ]
        shop.builds.append(Played(left=left, worked=[0.0] * len(left)))
    run(shop, until=7 * rng.randint(3, 9))
    for build in shop.builds:
        build.free_from -= shop.day
    shop.day = 0
    shop.builds = [build for build in shop.builds if build.ready is None]
    return shop


def play(shop: SimulatedShop) -> list[int]:
    """Go on until every build is ready; return the days, counted from the first."""
    run(shop)
    return [build.ready or 0 for build in shop.builds]


def run(shop: SimulatedShop, until: int | None = None) -> None:
    """Go on day by day until every build is ready, or until a day."""
    rng = shop.rng
    while any(build.ready is None for build in shop.builds) and shop.day != until:
        if shop.day % 7 == 0:
            shop.week = shop.share * math.exp(rng.gauss(-0.02, 0.2))
        if not shop.lost and rng.random() < 0.04 / 1.75:
            shop.lost = rng.choice([1, 1, 2, 3])
        hours = 0.0 if shop.lost else WEEK[shop.day % 7] * min(shop.week, 1.2)
        shop.lost = max(shop.lost - 1, 0)
        while hours > 1e-9:
            build = next((one for one in shop.builds if _can(shop, one, shop.day)), None)
            if build is None:
                break
            spent = min(hours, build.left[build.at])
            build.left[build.at] -= spent
            build.worked[build.at] += spent
            hours -= spent
            if build.left[build.at] < 1e-9:
                _finish(shop, build, shop.day)
        shop.day += 1


def _can(shop: SimulatedShop, build: Played, day: int) -> bool:
    if build.ready is not None or build.free_from > day:
        return False
    if build.at == MOULD_FROM and not build.mould:
        if sum(one.mould for one in shop.builds) >= shop.moulds:
            return False
        build.mould = True
    return True


def _finish(shop: SimulatedShop, build: Played, day: int) -> None:
    name, _, wait = STAGES[build.at]
    one_in, redo = FAILS.get(name, (0, 0))
    if one_in and build.at not in build.done and shop.rng.random() < 1 / one_in:
        build.left[build.at] = redo * math.exp(shop.slow)
        build.worked[build.at] = 0.0
        build.again = redo
        if shop.rng.random() >= 1 / one_in:
            build.done.add(build.at)
        return
    build.again = 0.0
    if wait > 1:
        wait = max(round(wait * (1 + 0.15 * shop.rng.gauss(0, 1))), 1)
    build.free_from = day + wait
    if build.at == MOULD_TO:
        build.mould = False
    build.at += 1
    if build.at == len(STAGES):
        build.ready = build.free_from
