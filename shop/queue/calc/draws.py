"""What can happen, drawn: hours, failures, waiting, wood and parts, days lost, slow weeks.

Every build and stage draws from a seed of its own, so that the same books give the same days and
two orders are compared under the same luck. Hours run long together by the share that the estimate
learned for the build, and by a doubt that all builds of the shop share.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any
from zlib import crc32

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri, stdtr, stdtrit

from shop.queue.calc.dispatch import Chances
from shop.queue.calc.network import Network

Floats = NDArray[np.floating[Any]]

SEED = 15
LEAST_TAIL = 1e-280
SPELL_GOES_ON = (0.5, 0.25)
"""A lost day is followed by a second one in half, by a third in a quarter of cases."""

SPELL = 1 + sum(SPELL_GOES_ON)


@dataclass(frozen=True, slots=True, kw_only=True)
class Failure:
    """What goes wrong in one of `one_in` attempts: hours redone and days of waiting, each time.

    Without hours, those of the stages `redo` (places in the build's own guesses) are done again.
    """

    one_in: int
    hours: float | None = None
    redo: tuple[int, ...] = ()
    days: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Guess:
    """What is known of one stage before it is done.

    The log of its hours follows a Student t of this centre, scale and degrees. worked: hours so
    far. again: hours of making again that are known of. skip: the chance that it is not needed.
    wait_spread: doubt of the waiting, as a part of it. not_before_doubt: standard deviation in days
    of the day before which it can't begin.
    """

    key: str
    centre: float
    scale: float
    degrees: float
    worked: float = 0.0
    skip: float = 0.0
    wait: int = 0
    wait_spread: float = 0.0
    not_before: int = 0
    not_before_doubt: float = 0.0
    failures: tuple[Failure, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildGuess:
    """What is known of a build's stages; `common` is the part of a surprise that they share.

    together: doubt (sd of the log) about all stages of all builds of the `pattern`.
    """

    key: str
    stages: tuple[Guess, ...]
    common: float = 0.3
    pattern: str = ""
    together: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopGuess:
    """What all builds share: how far hours may be off, the share of bench hours that builds get.

    doubt: standard deviation of the log of all hours. share: the part of the week's bench hours
    that goes to builds, with its own doubt and how far single weeks stray. lost: the part of open
    days lost to illness or visitors.
    """

    doubt: float = 0.10
    share: float = 0.9
    share_doubt: float = 0.05
    week_spread: float = 0.2
    lost: float = 0.04


def draw_chances(
    network: Network, builds: Sequence[BuildGuess], shop: ShopGuess, draws: int
) -> Chances:
    """Draw minutes, waits and earliest days of every stage of the network (draws, stages)."""
    at = {key: place for place, key in enumerate(network.keys)}
    shape = (draws, network.size)
    minutes, waits, earliest = (np.zeros(shape) for _ in range(3))
    slow = shop.doubt * spread_normals("shop", 1, draws)[0]
    for build in builds:
        hours, days = _of_build(build, slow + _pattern_doubt(build, shop, draws), draws)
        for number, guess in enumerate(build.stages):
            place = at[build.key, guess.key]
            minutes[:, place] = hours[number] * 60
            waits[:, place] = np.rint(days[number])
            earliest[:, place] = _earliest(build.key, guess, draws)
    return Chances(minutes=minutes, waits=waits, not_before=earliest)


def draw_open_minutes(hands: Floats, shop: ShopGuess, draws: int) -> Floats:
    """Draw the minutes that go to builds (hands, draws, days): shares, slow weeks, lost days."""
    numbers, days = hands.shape
    level = np.clip(
        shop.share * np.exp(shop.share_doubt * spread_normals("share", 1, draws)[0]), 0, 1
    )
    found = np.empty((numbers, draws, days))
    for hand in range(numbers):
        rng = np.random.default_rng([SEED, 1, hand])
        weeks = np.exp(shop.week_spread * rng.standard_normal((days // 7 + 1, draws)))
        weeks /= np.exp(shop.week_spread**2 / 2)
        luck = rng.random((days, draws))
        lost = _lost(luck, shop.lost / SPELL)
        part = np.repeat(weeks, 7, axis=0)[:days] * level * ~lost
        found[hand] = (hands[hand][:, None] * np.minimum(part, 1.2)).T
    return found


def spread_normals(name: str, rows: int, draws: int) -> Floats:
    """Return rows of evenly spread standard normal values, in an order that `name` alone decides.

    A Latin hypercube: McKay, Beckman and Conover, Technometrics 21, 1979 (from memory).
    """
    spread = ndtri((np.arange(draws) + 0.5) / draws)
    rng = np.random.default_rng([SEED, crc32(name.encode())])
    return rng.permuted(np.broadcast_to(spread, (rows, draws)), axis=1)


def _pattern_doubt(build: BuildGuess, shop: ShopGuess, draws: int) -> Floats | float:
    """Return what the builds of a pattern share beyond what all builds of the shop share.

    The doubt of the whole shop is a part of the pattern's own: it is not counted twice.
    """
    beyond = build.together**2 - shop.doubt**2
    if beyond <= 0:
        return 0.0
    return np.asarray(np.sqrt(beyond) * spread_normals(f"pattern {build.pattern}", 1, draws)[0])


def _of_build(build: BuildGuess, slow: Floats, draws: int) -> tuple[list[Floats], list[Floats]]:
    """Return hours and days of waiting left of each stage."""
    common = spread_normals(build.key, 1, draws)[0] * np.sqrt(build.common)
    whole, hours, days = [], [], []
    for guess in build.stages:
        name = f"{build.key}/{guess.key}"
        normal, needed, waiting = spread_normals(name, 3, draws)
        normal = common + np.sqrt(1 - build.common) * normal
        total, left = _hours(guess, normal, slow)
        there = ndtr(needed) >= guess.skip
        whole.append(total)
        hours.append(left * there)
        days.append(_wait(guess, waiting) * there)
    for number, guess in enumerate(build.stages):
        for place, failure in enumerate(guess.failures):
            times = _failures(f"{build.key}/{guess.key}/{place}", failure, draws)
            redone = sum((whole[one] for one in failure.redo), np.zeros(draws))
            each = redone if failure.hours is None else failure.hours * np.exp(slow)
            hours[number] = hours[number] + times * each
            days[number] = days[number] + times * failure.days
    return hours, days


def _hours(guess: Guess, normal: Floats, slow: Floats) -> tuple[Floats, Floats]:
    """Return the hours of the whole stage, and what is left given what it took so far."""
    if not guess.worked:
        total = np.exp(guess.centre + guess.scale * student(normal, guess.degrees) + slow)
        return total, total
    scale = max(guess.scale, 1e-6)
    sofar = (np.log(guess.worked) - guess.centre - slow) / scale
    tail = np.maximum(stdtr(guess.degrees, -sofar) * ndtr(-normal), LEAST_TAIL)
    total = np.exp(guess.centre - scale * stdtrit(guess.degrees, tail) + slow)
    return total, np.maximum(total - guess.worked, 0)


def student(normal: Floats, degrees: float) -> Floats:
    """Turn normal values into Student t values of the same rank, by Wallace's approximation.

    Of 1959, turned round (from memory): within 0.1 up to the 99.5th percentile from 4 degrees on.
    """
    stretch = ((8 * degrees + 3) / (8 * degrees + 1)) ** 2 / degrees
    return np.asarray(np.sign(normal) * np.sqrt(degrees * np.expm1(stretch * normal**2)))


def _wait(guess: Guess, normal: Floats) -> Floats:
    """Return days of waiting; a single night has no doubt."""
    if guess.wait <= 1:
        return np.full(normal.shape, float(guess.wait))
    return np.asarray(np.maximum(guess.wait * (1 + guess.wait_spread * normal), 1))


def _failures(name: str, failure: Failure, draws: int) -> Floats:
    """Return how often something goes wrong before it goes right: geometric."""
    rank = np.clip(ndtr(spread_normals(name, 1, draws)[0]), 1e-12, 1)
    return np.asarray(np.floor(np.log(rank) / np.log(1 / failure.one_in)))


def _earliest(build: str, guess: Guess, draws: int) -> Floats:
    if not guess.not_before_doubt:
        return np.full(draws, float(guess.not_before))
    normal = spread_normals(f"{build}/{guess.key}/earliest", 1, draws)[0]
    return np.asarray(np.maximum(np.rint(guess.not_before + guess.not_before_doubt * normal), 0))


def _lost(luck: Floats, begins: float) -> NDArray[np.bool_]:
    """Return which days are lost: spells of one to three days."""
    lost = luck < begins
    for place, goes_on in enumerate(SPELL_GOES_ON, start=1):
        lost[place:] |= luck[:-place] < begins * goes_on
    return lost
