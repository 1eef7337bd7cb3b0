"""What the queue says of a simulated shop, from what a maker would know of it."""

import math

import numpy as np

from shop.queue.calc.draws import BuildGuess, Failure, Guess, ShopGuess
from shop.queue.calc.records import Job, Shop, Stage, Take
from tests.shop.queue.simulated_shop import FAILS, MOULD_FROM, MOULD_TO, STAGES, WEEK

SCALE = math.hypot(0.3, 0.08)


def known(shop):
    """Return jobs, guesses and the shop of the queue: nothing of what is true but unseen."""
    jobs, guesses = [], []
    for number, build in enumerate(shop.builds):
        stages, some = [], []
        take = Take(thing="mould", until=f"{MOULD_TO}", through_wait=False)
        for place in range(build.at, len(STAGES)):
            name, _, wait = STAGES[place]
            centre, scale = shop.told[place], SCALE
            if place == build.at and build.again:
                centre, scale = math.log(build.again), 0.1
            likely = max(math.exp(centre) - build.worked[place], 0.1 * math.exp(centre))
            first = max(build.free_from, 0) if place == build.at else 0
            stages.append(
                Stage(
                    key=f"{place}",
                    name=name,
                    minutes=likely * 60,
                    wait=wait,
                    after=(f"{place - 1}",),
                    takes=(take,) if place == MOULD_FROM and not build.mould else (),
                    not_before=first,
                )
            )
            failures = ()
            if name in FAILS:
                failures = (Failure(one_in=FAILS[name][0], hours=FAILS[name][1]),)
            some.append(
                Guess(
                    key=f"{place}",
                    centre=centre,
                    scale=scale,
                    not_before=first,
                    degrees=20,
                    worked=build.worked[place],
                    wait=wait,
                    wait_spread=0.15,
                    failures=failures,
                )
            )
        holds = (take,) if build.mould else ()
        jobs.append(Job(key=f"{number}", stages=tuple(stages), holds=holds))
        guesses.append(BuildGuess(key=f"{number}", stages=tuple(some), common=0.3))
    return jobs, guesses, Shop(hands=[list(WEEK_MINUTES) * 150], things={"mould": shop.moulds})


WEEK_MINUTES = tuple(60.0 * hours for hours in WEEK)


def plain_day(shop, number):
    """The day that was proposed before: all hours ahead first, then stage after stage."""
    ahead = sum(
        math.exp(shop.told[place])
        for build in shop.builds[:number]
        for place in range(build.at, len(STAGES))
    )
    day, minutes = 0, np.array(WEEK) * 60.0
    stages = [(ahead, 0)] + [
        (math.exp(shop.told[place]), STAGES[place][2])
        for place in range(shop.builds[number].at, len(STAGES))
    ]
    left = minutes[0]
    for hours, wait in stages:
        work = hours * 60
        while work > left:
            work -= left
            day += 1
            left = minutes[day % 7]
        left -= work
        if wait:
            day += wait
            left = minutes[day % 7]
    return day


SHARED = ShopGuess(doubt=0.10, share=0.9, share_doubt=0.05, week_spread=0.2, lost=0.04)
