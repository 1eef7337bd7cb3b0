"""The queue: how long it takes to work out, and how often the days that it says are kept.

The shops are those of `tests/shop/queue/simulated_shop.py`, written apart from the engine, with
fixed seeds: a change that harms a figure shows here.
"""

import math
import time
from statistics import median

import numpy as np

from shop.queue.calc.outlook import look_ahead
from tests.bench.timing import Row
from tests.shop.queue.judged import SHARED, known, plain_day
from tests.shop.queue.simulated_shop import open_shop, play

SHOPS = {5: 80, 12: 40, 30: 16}
"""Open builds of a shop, and how many such shops are played out."""

SECONDS_WANTED = 1.5
DRAWS, FEW_DRAWS = 400, 100


def bench() -> list[Row]:
    """Print what was kept, and return the CPU time of a look ahead, beside what is wanted."""
    print(
        "  80 % day kept (target 75 to 85 of 100), with the standard error between shops; "
        "median error beside a plain plan's, in days"
    )
    for builds, shops in SHOPS.items():
        print(f"  {builds} open builds, {shops} shops: {_kept(builds, shops)}", flush=True)
    return [_timed(builds) for builds in SHOPS]


def _timed(builds: int) -> Row:
    books = known(open_shop(1, builds))
    look_ahead(*books, SHARED, draws=FEW_DRAWS)
    began = time.process_time()
    look_ahead(*books, SHARED, draws=DRAWS)
    return Row(
        what=f"{builds} builds looked ahead in {DRAWS} draws, CPU",
        seconds=time.process_time() - began,
        against="the most that 30 builds of 18 stages may take",
        bare=SECONDS_WANTED,
        wanted=1,
    )


def _kept(builds: int, shops: int) -> str:
    kept, by_shop, errors, plain = [], [], [], []
    for seed in range(shops):
        shop = open_shop(seed * 100 + builds, builds)
        queue = look_ahead(*known(shop), SHARED, draws=FEW_DRAWS)
        before = plain_day(shop, len(shop.builds) - 1)
        real = play(shop)
        each = [day <= one.days[80] for day, one in zip(real, queue.builds, strict=True)]
        kept += each
        by_shop.append(np.mean(each) if each else np.nan)
        errors.append(abs(real[-1] - queue.builds[-1].days[50]))
        plain.append(abs(real[-1] - before))
    # Builds of one shop are slow or quick together, so that shops are what is counted.
    doubt = np.nanstd(by_shop) / math.sqrt(len(by_shop))
    return f"{np.mean(kept):.1%} ± {doubt:.1%}; {median(errors):g} of {median(plain):g}"
