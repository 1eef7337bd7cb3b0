"""Weighing on in the computer: when each of many drawn curves would be called ready.

For every drawn curve coming weighings are made up, each with its scatter, and after each of them
the same is asked as of real ones: what do all weighings tell of how near the wood is? All draws
are weighed on the same days, so what those days can tell is worked out once for all of them.
"""

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtr

from inventory.wood.calc.drying_curve import Curves, DrawnCurves, Floats, Indices

FARTHEST_DAYS = 3650
DRAWS = 150
SEED = 1

LOOK_PART = 8
"""One look for each eighth of the wait: far ahead a weighing more or less tells little."""

LEAST_LIKELY = 1e-3
"""Curves and scatters less likely than this beside the likeliest are left out."""

MOST_CELLS = 240

MAYBE_TIMES = 3.0
"""Only what is within so many times the tolerance of its rest is asked about: the rest is wet."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ahead:
    """How weighing goes on, and what is called ready.

    began: days from the first weighing to the last. every: days between coming ones. before: the
    last masses that count, in g. weighings, within: how many must lie how close to the first of
    them. near: points from rest. sure: the chance of being as near, from which wood is ready.
    """

    began: int
    every: int
    before: tuple[float, ...]
    weighings: int
    within: float
    near: float
    sure: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Waits:
    """Days from the last weighing to the one that shows each draw ready, inf beyond ten years, and
    the mass in g that the middle one tends to."""

    days: tuple[float, ...]
    final_grams: float


def draw_waits(curves: Curves, ahead: Ahead) -> Waits:
    """Draw curves that fit what was weighed, weigh on, and return when each is called ready."""
    drawn = curves.drawn(DRAWS, SEED)
    watcher = Watcher(curves, DRAWS)
    random = np.random.default_rng(SEED)
    window = np.tile(ahead.before, (DRAWS, 1)) / drawn.unit
    waits = np.full(DRAWS, np.inf)
    step = 0
    while ahead.every * step < FARTHEST_DAYS and not np.isfinite(waits).all():
        steps = np.arange(step + 1, step + 1 + max(1, step // LOOK_PART))
        step = int(steps[-1])
        days = (ahead.began + ahead.every * steps).astype(float)
        scatter = drawn.scatter[:, None] * random.standard_normal((DRAWS, len(days)))
        coming = drawn.masses(days) * (1 + scatter)
        watcher.weigh(days, coming)
        window = np.concatenate([window, coming], axis=1)[:, -ahead.weighings :]
        asked = np.flatnonzero(
            _is_slow(window, ahead) & _may_be_near(drawn, days[-1], ahead) & ~np.isfinite(waits)
        )
        if len(asked):
            chance = watcher.chance_near(asked, float(days[-1]), ahead.near)
            waits[asked[chance >= ahead.sure]] = ahead.every * step
    return Waits(days=tuple(waits.tolist()), final_grams=float(np.median(drawn.final)) * drawn.unit)


def _is_slow(window: Floats, ahead: Ahead) -> "np.ndarray":
    if window.shape[1] < ahead.weighings:
        return np.zeros(len(window), dtype=bool)
    return np.asarray((np.abs(window / window[:, :1] - 1) <= ahead.within).all(axis=1))


def _may_be_near(drawn: DrawnCurves, day: float, ahead: Ahead) -> "np.ndarray":
    left = drawn.points_left(np.array([day]))[:, 0]
    return np.asarray(np.abs(left) <= MAYBE_TIMES * ahead.near)


class Watcher:
    """What all weighings of each draw tell, as they come: sums for every curve that is possible.

    The model is that of `drying_curve`, around the curves that the real weighings left.
    """

    def __init__(self, curves: Curves, draws: int) -> None:
        best, across = curves.chance.sum(axis=1), curves.chance.sum(axis=0)
        likely = np.argsort(-best)[:MOST_CELLS]
        likely = likely[best[likely] > LEAST_LIKELY * best.max()]
        scatters = np.flatnonzero(across > LEAST_LIKELY * across.max())
        self._told = curves.evidence.some(likely, scatters)
        self._cells, self._dry = curves.cells.some(likely), curves.dry
        self._number, self._gram = self._told.number, self._told.gram
        self._pull = np.tile(self._told.pull, (draws, 1, 1))
        self._misfit = np.tile(self._told.misfit, (draws, 1))

    def weigh(self, days: Floats, masses: Floats) -> None:
        """Take in masses (draws, days) as parts of the first that was weighed."""
        rows = self._cells.design(days)
        off = masses[:, None, :] - rows @ self._told.centre
        self._gram = self._gram + np.einsum("gni,gnj->gij", rows, rows)
        self._pull += np.einsum("gni,kgn->kgi", rows, off)
        self._misfit += (off**2).sum(axis=-1)
        self._number += len(days)

    def chance_near(self, some: Indices, day: float, points: float) -> Floats:
        """Return for some of the draws the chance of being within `points` of rest on `day`."""
        told, exact = self._told, self._told.exact
        gram = self._gram[:, None] * exact[:, None, None] + told.known[:, None]
        spread = np.linalg.inv(gram)
        pull = self._pull[some][:, :, None] * exact[:, None] + told.known_pull[:, None]
        mean = np.einsum("gsij,kgsj->kgsi", spread, pull)
        misfit = self._misfit[some][:, :, None] * exact + told.known_misfit[:, None]
        misfit = misfit - (mean * pull).sum(axis=-1)
        logs = told.prior - (misfit + np.linalg.slogdet(gram)[1]) / 2
        logs = logs + self._number * np.log(exact) / 2
        chance = np.exp(logs - logs.max(axis=(1, 2), keepdims=True))
        row = self._cells.above_rest(np.array([day]))[:, 0]
        middle = np.einsum("kgsi,gi->kgs", mean + told.centre, row)
        doubt = np.sqrt(np.einsum("gsij,gi,gj->gs", spread, row, row)) + 1e-12
        part = points / 100 * self._dry
        within = ndtr((part - middle) / doubt) - ndtr((-part - middle) / doubt)
        return np.asarray((chance * within).sum(axis=(1, 2)) / chance.sum(axis=(1, 2)))
