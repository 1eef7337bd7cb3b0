"""Shops worked out in a computer, to judge what estimates say: written apart from the method.

Hours come hour by hour from plain random numbers and no array of the program; every trouble that
a real book of hours has can be switched on alone.
"""

import math
import random
from dataclasses import dataclass
from datetime import date, timedelta

from shop.estimates.calc.records import PastBuild, StageFigures


@dataclass(frozen=True, kw_only=True)
class Troubles:
    """What is wrong in a shop.

    skipped: how often some stages are met (a third of them), 1 for always. low: times that hours
    are above the template's. sure: how much too sure of itself the template is. forgotten: chance
    that a stage's clock stayed on (hours times 6). curve: hours at each doubling of the number.
    changed: times that hours are from the middle of the builds on, as after a new method.
    """

    skipped: float = 1.0
    low: float = 1.0
    sure: float = 1.0
    forgotten: float = 0.0
    curve: float = 1.0
    changed: float = 1.0
    stages: int = 8


def simulated_shop(seed, builds, troubles):
    """Return the template and builds, the last to be foretold from those before it."""
    chance = random.Random(f"shop {seed}")
    truths = []
    for place in range(troubles.stages):
        middle = math.exp(chance.gauss(math.log(5), 0.5))
        spread = chance.uniform(0.15, 0.3)
        met = troubles.skipped if place % 3 == 2 else 1.0
        truths.append((f"stage {place}", middle, spread, met))
    template = [_figures(chance, troubles, *truth) for truth in truths]
    past = [
        _build(chance, troubles, truths, number, number > builds // 2)
        for number in range(1, builds + 1)
    ]
    return template, past


def _figures(chance, troubles, key, middle, spread, _):
    likely = middle / troubles.low * math.exp(chance.gauss(0, 0.15))
    reach = 1.28 * spread / troubles.sure
    return StageFigures(
        key=key, low=likely * math.exp(-reach), likely=likely, high=likely * math.exp(reach)
    )


def _build(chance, troubles, truths, number, is_new):
    slow = chance.gauss(0, 1)
    hours = {}
    for key, middle, spread, met in truths:
        if chance.random() > met:
            continue
        deviation = math.sqrt(0.3) * slow + math.sqrt(0.7) * chance.gauss(0, 1)
        # The curve is 1 at the tenth build, so that the template speaks of a settled pattern.
        learned = (number / 10) ** math.log2(troubles.curve)
        spent = middle * learned * math.exp(spread * deviation)
        if is_new:
            spent *= troubles.changed
        if chance.random() < troubles.forgotten:
            spent *= 6
        hours[key] = spent
    started = date(2020, 1, 6) + timedelta(days=45 * number)
    return PastBuild(
        key=f"{number}",
        started=started,
        finished=started + timedelta(days=40),
        number=number,
        hours=hours,
    )
