"""Boards that dry in a computer, to judge what the program says of their weighings.

Written apart from the method: water moves between layers of the wood by finite steps, not by the
series of roots; the exponential and the seasonal board have no slab in them at all but for that.
"""

import math
import random
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from inventory.wood.calc.seasoning import MassReading

FIRST = date(2027, 3, 9)
LAYERS = 24
RESTING = 8.4


@dataclass(frozen=True)
class Board:
    """Weighings, and points of moisture that are left above rest on each day from the first."""

    weighings: list
    points_left: list
    thickness: float

    @property
    def days(self):
        return [(one.on - FIRST).days for one in self.weighings]


KINDS = {
    # thickness mm, days in which a slab half as thick loses its water, grams dry, points to lose
    "thin set": ((8, 18), (700, 1000), (4, 12)),
    "board": ((26, 40), (2500, 5000), (6, 25)),
    "billet": ((55, 85), (4000, 9000), (10, 50)),
}


def slab_board(kind, seed, *, swing=0.0, weeks=400, noise=0.0002):
    """A slab in steady air, or in air that swings by `swing` points over the year.

    Diffusion 1.5e-11 to 1.5e-10 m²/s and Biot number in proportion to thickness, as spread as
    species are; days between weighings 5 to 14, scatter 0.02 % of the mass.
    """
    chance = random.Random(f"{kind} {seed}")
    (thin, thick), (light, heavy), (few, many) = KINDS[kind]
    thickness, dry = chance.uniform(thin, thick), chance.uniform(light, heavy)
    diffusion = math.exp(chance.uniform(math.log(1.5e-11), math.log(1.5e-10))) * 86400 * 1e6
    half = thickness / 2
    biot = math.exp(chance.uniform(math.log(0.5), math.log(20))) * half / 10
    above = chance.uniform(few, many)
    phase = chance.uniform(0, 2 * math.pi)
    left = _layers(
        half, diffusion, biot, above, lambda day: swing * math.sin(day / 58.13 + phase), weeks * 7
    )
    return _weighed(chance, left, dry, thickness, noise)


def exponential_board(kind, seed, *, weeks=400, noise=0.0002):
    """Wood that nears its rest by the same part every day."""
    chance = random.Random(f"exponential {kind} {seed}")
    (thin, thick), (light, heavy), (few, many) = KINDS[kind]
    thickness, dry = chance.uniform(thin, thick), chance.uniform(light, heavy)
    pace = {"thin set": (6, 30), "board": (20, 90), "billet": (60, 250)}[kind]
    days, above = chance.uniform(*pace), chance.uniform(few, many)
    left = [above * math.exp(-day / days) for day in range(weeks * 7)]
    return _weighed(chance, left, dry, thickness, noise)


def _layers(half, diffusion, biot, above, air, days):
    """Points above rest on each day: half a slab in layers, by implicit steps of a day."""
    wide = half / LAYERS
    inner = diffusion / wide**2
    # From the middle of the outer layer to its face, then through the surface.
    outer = diffusion / wide / (wide / 2 + half / biot)
    water = [above] * LAYERS
    found = [above]
    for day in range(1, days):
        step = 0.25 if day < 40 else 1.0
        for part in range(round(1 / step)):
            water = _implicit(water, inner * step, outer * step, air(day - 1 + (part + 1) * step))
        found.append(sum(water) / LAYERS)
    return found


def _implicit(water, inner, outer, air):
    """One implicit step: a system of three diagonals, solved from the middle to the face."""
    number = len(water)
    upper, right = [0.0] * number, [0.0] * number
    for place in range(number):
        before = inner if place else 0.0
        after = inner if place < number - 1 else 0.0
        face = outer if place == number - 1 else 0.0
        middle = 1 + before + after + face
        value = water[place] + face * air
        if place:
            middle -= before * upper[place - 1]
            value += before * right[place - 1]
        upper[place], right[place] = after / middle, value / middle
    for place in range(number - 2, -1, -1):
        right[place] += upper[place] * right[place + 1]
    return right


def _weighed(chance, left, dry, thickness, noise):
    weighings, day = [], 0
    every = chance.randint(5, 14)
    while day < len(left):
        mass = dry * (1 + (RESTING + left[day]) / 100) * (1 + chance.gauss(0, noise))
        weighings.append(MassReading(FIRST + timedelta(days=day), round(Decimal(mass), 1)))
        day += every
    return Board(weighings, left, thickness)
