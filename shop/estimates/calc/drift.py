"""Whether builds have taken more or less time since one of them: a method that changed half-way.

A step in the log of hours is weighed against none, at each place between past builds. Builds
before it then count by the chance that they still tell of the way things are done now. Source: the
odds of two normal means against one, as in Hoff, A First Course in Bayesian Statistical Methods.
"""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from shop.estimates.calc.assumptions import Assumptions
from shop.estimates.calc.distributions import Floats
from shop.estimates.calc.pooling import pool
from shop.estimates.calc.rolling import Answers, Questions, Whole, ages, answer, running
from shop.estimates.calc.table import LEARNING, HoursTable

Indices = NDArray[np.intp]

LEAST_EACH_SIDE = 2
"""Builds on either side of a step that can be told."""

MOST_PLACES = 24
"""Places looked at: every one while builds are few, then some spread over them."""

STEP = 0.3
"""How far a step may go (standard deviation of the log of hours; no source)."""

SURE, LEAST_TOLD = 0.9, 0.1
"""A step is told from this chance on, and when it is at least this part of the hours."""

QUESTIONS_AT_ONCE = 256
FURTHEST_ODDS = 50.0
NEVER = 1e-12


@dataclass(frozen=True, slots=True, kw_only=True)
class Drift:
    """Where hours last stepped up or down, for each question and each of some places.

    places: builds before the step. chance: that it lies there; what is missing to 1 is that there
    was none. size: the log by which hours changed (questions, places).
    """

    places: Whole
    chance: Floats
    size: Floats

    def lost(self, sums: Floats) -> Floats:
        """Return for each question what steps take from running `sums` (builds + 1, …)."""
        chance = self.chance.reshape(*self.chance.shape, *[1] * (sums.ndim - 1))
        return np.asarray((chance * sums[self.places]).sum(axis=1))

    def kept(self, builds: int) -> Floats:
        """Return for each question what is left of each of so many builds."""
        before = np.arange(builds) < self.places[:, :, None]
        return np.asarray(1 - (self.chance[:, :, None] * before).sum(axis=1))

    def told(self, question: int) -> tuple[int, float] | None:
        """Return the builds before a step and times that hours changed there, if it is sure enough
        and large enough to be worth a word."""
        best = int(self.chance[question].argmax())
        times = float(np.exp(self.size[question, best]))
        if self.chance[question].sum() < SURE or abs(times - 1) < LEAST_TOLD:
            return None
        return int(self.places[question, best]), times


@dataclass(frozen=True, slots=True, kw_only=True)
class _Side:
    """Builds on one side of each place: how many, what they count, their mean (…, stages)."""

    count: Floats
    weight: Floats
    mean: Floats


def with_drift(table: HoursTable, questions: Questions, assumptions: Assumptions) -> Questions:
    """Return the questions with where hours stepped before each, by all that it knows."""
    told = answer(table, questions, assumptions, pool(table, questions, assumptions))
    return replace(questions, drift=find_drift(table, told, questions, assumptions))


def find_drift(
    table: HoursTable, told: Answers, questions: Questions, assumptions: Assumptions
) -> Drift:
    """Return where the hours of all stages may have stepped together, as known at each question.

    What batches and options do is taken off as `told` has it for each question, so that a batch or
    an option is no step. Learning that is told nowhere may well be one.
    """
    places = _places(questions.known)
    known = np.array(told.coefficients - table.effects.defaults)
    known[:, :, [0, LEARNING]] = 0
    used = np.flatnonzero(known.any(axis=(0, 1)))
    sums = _sums(table, used, assumptions)
    blocks = range(0, max(len(places), 1), QUESTIONS_AT_ONCE)
    found = [
        _chances(
            table,
            _sides(sums, known[some][:, None, :, used], places[some], questions.known[some, None]),
            places[some],
            assumptions,
        )
        for some in (slice(start, start + QUESTIONS_AT_ONCE) for start in blocks)
    ]
    chance, size = (np.concatenate(parts) for parts in zip(*found, strict=True))
    return Drift(places=places, chance=chance, size=size)


def _chances(
    table: HoursTable,
    sides: tuple["_Side", "_Side", Floats],
    places: Whole,
    assumptions: Assumptions,
) -> tuple[Floats, Floats]:
    before, after, around = sides
    spread = _spread(table, before, after, around, assumptions)
    size, doubt = _step(before, after, spread, assumptions.common_share)
    told = STEP**2 / (STEP**2 + doubt)
    odds = np.exp(np.minimum((np.log(1 - told) + size**2 / doubt * told) / 2, FURTHEST_ODDS))
    possible = np.diff(places, axis=1, prepend=0) > 0
    for side in (before, after):
        possible &= side.count.max(axis=-1) >= LEAST_EACH_SIDE
    each = assumptions.drift_chance / np.maximum(possible.sum(axis=1, keepdims=True), 1)
    chance = np.where(possible, odds * each, 0)
    chance = chance / (1 - assumptions.drift_chance + chance.sum(axis=1, keepdims=True))
    return chance, size * told


def _places(known: Whole) -> Whole:
    most = int(min(max(known.max(initial=0), 1), MOST_PLACES))
    parts = np.arange(1, most + 1) / most
    return np.asarray(np.round(known[:, None] * parts).astype(np.int64))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Sums:
    """Running sums over builds: how many hours, their weights, deviations and squares, and those
    with each effect: of x, x y and x x' (builds + 1, stages, …)."""

    count: Floats
    weight: Floats
    total: Floats
    squares: Floats
    design: Floats
    products: Floats
    pairs: Floats


def _sums(table: HoursTable, used: Indices, assumptions: Assumptions) -> _Sums:
    weights = (table.weights * ages(table, table.finished, assumptions))[:, None]
    weights = weights * table.trust * table.counted
    values = table.logs - table.expected
    rows = table.design[:, :, used]
    weighted = rows * weights[:, :, None]
    return _Sums(
        count=running(table.counted * 1.0),
        weight=running(weights),
        total=running(weights * values),
        squares=running(weights * values**2),
        design=running(weighted),
        products=running(weighted * values[:, :, None]),
        pairs=running(weighted[..., None] * rows[:, :, None, :]),
    )


def _sides(sums: _Sums, known: Floats, places: Whole, last: Whole) -> tuple[_Side, _Side, Floats]:
    """Return the builds on either side, and squares around the two means, as if none had aged.

    known: what each effect does at each question (questions, 1, stages, effects).
    """
    total = [sums.total[at] - (known * sums.design[at]).sum(axis=-1) for at in (places, last)]
    squares = sums.squares[last] - 2 * (known * sums.products[last]).sum(axis=-1)
    squares = squares + np.einsum("qxsi,qxsij,qxsj->qxs", known, sums.pairs[last], known)
    before = _side(sums.count[places], sums.weight[places], total[0])
    after = _side(
        sums.count[last] - before.count, sums.weight[last] - before.weight, total[1] - total[0]
    )
    around = squares - before.weight * before.mean**2 - after.weight * after.mean**2
    # Weights say what is worth more; how sure the means are hangs on how many builds there were.
    counted = before.count + after.count
    fresh = counted / np.maximum(before.weight + after.weight, NEVER)
    return before, after, np.asarray(np.maximum(around, 0) * fresh)


def _side(count: Floats, weight: Floats, total: Floats) -> _Side:
    return _Side(count=count, weight=weight, mean=total / np.maximum(weight, NEVER))


def _spread(
    table: HoursTable, before: _Side, after: _Side, around: Floats, assumptions: Assumptions
) -> Floats:
    """Return the variance of each stage beside a step: the template's, as past scatter has it."""
    scatter = table.prior.rate / table.prior.shape
    both = (before.count > 0) & (after.count > 0)
    free = np.where(both, before.count + after.count - 2, 0).sum(axis=-1)
    found = np.where(both, around / scatter, 0).sum(axis=-1)
    times = (assumptions.pooled_worth + found) / (assumptions.pooled_worth + free)
    return np.asarray(scatter * times[..., None])


def _step(before: _Side, after: _Side, spread: Floats, share: float) -> tuple[Floats, Floats]:
    """Return the step that stages agree on, and its variance, a share of it common to them."""
    both = (before.count > 0) & (after.count > 0)
    builds = 1 / np.maximum(before.count, 1) + 1 / np.maximum(after.count, 1)
    worth = np.where(both, 1 / (spread * builds), 0)
    whole = np.maximum(worth.sum(axis=-1), NEVER)
    size = (worth * (after.mean - before.mean)).sum(axis=-1) / whole
    common = spread.mean(axis=-1) * np.min(builds, axis=-1)
    return size, (1 - share) / whole + share * common
