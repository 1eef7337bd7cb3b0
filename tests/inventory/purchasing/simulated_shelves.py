"""Shelves in a computer, to judge the level at which the program says to buy more.

Written apart from the method: draws come one after the other, orders go out and come in on a
clock, and what is counted is how often stock had run out when a delivery came.
"""

import math
import random
from dataclasses import dataclass

YEAR = 365

SIZES = {
    "draws of 1 to 4": (1, 2, 3, 4),
    "draws of 8": (8,),
    "draws of 1, now and then 12": (1, 1, 1, 1, 12),
}
PACKS = (1, 8, 24)


@dataclass(frozen=True)
class Shelf:
    """How a material is really used: draws a day, their sizes, days of delivery, and packs.

    `history` is what the books know: day in the last year and size of every draw.
    """

    per_day: float
    sizes: tuple
    lead: int
    pack: int
    history: list

    @property
    def draws(self):
        return [size for _, size in self.history]

    @property
    def months(self):
        months = [0] * 12
        for day, size in self.history:
            months[min(int(day / (YEAR / 12)), 11)] += size
        return months


def shelf_of(sizes, seed, *, least=1):
    """A shelf with at least `least` draws in its year: from one in two months to three a week."""
    chance = random.Random(f"shelf {sizes} {seed}")
    while True:
        per_day = math.exp(chance.uniform(math.log(1 / 60), math.log(0.4)))
        lead, pack = chance.randint(5, 45), chance.choice(PACKS)
        history, day = [], chance.expovariate(per_day)
        while day < YEAR:
            history.append((day, chance.choice(SIZES[sizes])))
            day += chance.expovariate(per_day)
        if len(history) >= least:
            return Shelf(per_day, SIZES[sizes], lead, pack, history)


def ran_out(shelf, level, seed, *, orders=400):
    """Part of orders that came when stock had run out.

    More is ordered as soon as what lies there and is to come falls below `level`: whole packs, up
    to the level again.
    """
    chance = random.Random(f"use {seed}")
    now, stock, coming = 0.0, level + chance.randrange(shelf.pack), []
    out = came = 0
    while came < orders:
        now += chance.expovariate(shelf.per_day)
        while coming and coming[0][0] <= now:
            _, packs = coming.pop(0)
            came += 1
            out += stock < 0
            stock += packs
        stock -= chance.choice(shelf.sizes)
        there = stock + sum(packs for _, packs in coming)
        if there < level:
            coming.append((now + shelf.lead, math.ceil((level - there) / shelf.pack) * shelf.pack))
    return out / came
