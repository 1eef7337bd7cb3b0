"""Estimates as of many days at once, each from the builds finished before its own day.

Running sums make it quick: one pass over past builds serves every day asked about.
"""

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from shop.estimates.calc.assumptions import (
    FEW_BUILDS,
    FURTHEST_SURPRISE,
    LARGEST_SHARE,
    Assumptions,
)
from shop.estimates.calc.conjugate import Posterior, Sums, predict, update
from shop.estimates.calc.distributions import Floats
from shop.estimates.calc.prior import Prior
from shop.estimates.calc.table import LEARNING, Flags, HoursTable

if TYPE_CHECKING:
    from shop.estimates.calc.drift import Drift
    from shop.estimates.calc.pooling import Pooled

Whole = NDArray[np.int64]

DAYS_A_YEAR = 365.25
HELD = 1e9
"""Precision of an effect that is held at the template's own figure."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Questions:
    """Builds to estimate: `known` past builds may be used, as of day `on`, for rows of `design`.

    drift: where hours stepped up or down before that, if it was looked for.
    """

    known: Whole
    on: Whole
    design: Floats
    drift: "Drift | None" = None

    def told(self, parts: Floats) -> Floats:
        """Return for each question the sum of `parts` (builds, …) over the builds it may use, each
        by the chance that no step came after it."""
        sums = running(parts)
        whole = np.asarray(sums[self.known])
        return whole if self.drift is None else whole - self.drift.lost(sums)

    def kept(self, builds: int) -> Floats:
        """Return for each question what a step leaves of each of so many builds."""
        if self.drift is None:
            return np.ones((len(self.known), builds))
        return self.drift.kept(builds)


@dataclass(frozen=True, slots=True, kw_only=True)
class Answers:
    """For each question and stage: the t of log hours, and what it was made from.

    coefficients: of the effects, the template's own where not `fitted` (questions, stages,
    effects). past, past_weight: builds counted and what they are worth. together: doubt (sd of
    the log) about all stages at once, for each question.
    """

    centre: Floats
    scale: Floats
    degrees: Floats
    coefficients: Floats
    fitted: Flags
    past: Whole
    past_weight: Floats
    together: Floats


def ages(table: HoursTable, days: Whole, assumptions: Assumptions) -> Floats:
    """Return what a build finished on each of `days` counts, against one on the latest day."""
    if assumptions.half_life_years is None or not len(table.finished):
        return np.ones(len(days))
    years = (days - table.finished[-1]) / DAYS_A_YEAR
    return np.asarray(np.exp2(years / assumptions.half_life_years))


def running(values: Floats) -> Floats:
    """Return running sums along the first axis, beginning with 0 for no build at all."""
    nothing = np.zeros((1, *values.shape[1:]))
    return np.concatenate([nothing, values.cumsum(axis=0)])


def as_each_began(table: HoursTable) -> Questions:
    """Ask about every past build as on the day it was started, knowing those finished before."""
    # Only builds finished before: hours of one that is still open would tell the future.
    known = np.searchsorted(table.finished, table.started, side="left")
    return Questions(known=known, on=table.started, design=table.design)


def surprises_of(table: HoursTable, before: Answers) -> Floats:
    """Return how far past builds were from the answers given before them, in scales of the t."""
    return np.where(table.counted, (table.logs - before.centre) / before.scale, 0)


def answer(
    table: HoursTable,
    questions: Questions,
    assumptions: Assumptions,
    pooled: "Pooled | None" = None,
) -> Answers:
    """Estimate the log hours of every stage for every question, with the template put right by
    what all stages together say of it (`pooled`)."""
    past, fitted = _enough_data(table, questions, assumptions)
    per_stage = [
        _answer_stage(table, questions, assumptions, stage, fitted[:, stage], pooled)
        for stage in range(table.counted.shape[1])
    ]
    centre, scale, degrees, coefficients, weight = (
        np.stack(parts, axis=1) for parts in zip(*per_stage, strict=True)
    )
    return Answers(
        centre=centre,
        scale=scale,
        degrees=degrees,
        coefficients=coefficients,
        fitted=fitted,
        past=past,
        past_weight=weight,
        together=np.zeros(len(questions.on)) if pooled is None else pooled.doubt,
    )


def common_share(
    table: HoursTable, questions: Questions, surprises: Floats, assumptions: Assumptions
) -> Floats:
    """Return, for each question, the part of a stage's surprise that the whole build shares.

    surprises: of each past build against the estimate made before it, in scales (builds, stages),
    0 where not counted. The mean product of two stages' surprises over their mean square,
    weighed against the share assumed. The first few builds are left out: their surprises are the
    template's errors more than the shop's slow days.
    """
    clipped = np.clip(surprises, -FURTHEST_SURPRISE, FURTHEST_SURPRISE)
    stages = table.counted.sum(axis=1)
    squares = (clipped**2).sum(axis=1)
    pairs = np.where(stages > 1, stages * (stages - 1), 1)
    usable = (stages > 1) & (as_each_began(table).known >= FEW_BUILDS)
    weight = table.weights * ages(table, table.finished, assumptions) * usable
    shared = running(weight * (clipped.sum(axis=1) ** 2 - squares) / pairs)
    whole = running(weight * squares / np.maximum(stages, 1))
    age = 1 / ages(table, questions.on, assumptions)
    worth = assumptions.common_worth
    share = (worth * assumptions.common_share + shared[questions.known] * age) / (
        worth + whole[questions.known] * age
    )
    return np.clip(share, 0, LARGEST_SHARE)


def _enough_data(
    table: HoursTable, questions: Questions, assumptions: Assumptions
) -> tuple[Whole, Flags]:
    """Count builds behind each stage, and say which effects have enough on either side."""
    present = table.effects.present(table.builds)[:, None, :] & table.counted[:, :, None]
    with_it = running(present.astype(float))[questions.known]
    past = running(table.counted.astype(float))[questions.known]
    fewer = np.minimum(with_it, past[:, :, None] - with_it)
    fitted = np.asarray(fewer >= assumptions.least_each_side)
    fitted[:, :, 0] = True
    return past.astype(np.int64), fitted


def _answer_stage(
    table: HoursTable,
    questions: Questions,
    assumptions: Assumptions,
    stage: int,
    fitted: Flags,
    pooled: "Pooled | None",
) -> tuple[Floats, ...]:
    prior, defaults = table.prior, table.effects.defaults[stage]
    # Learning is a guess with its doubt from the first build on; the rest waits for enough builds.
    fitted = fitted.copy()
    fitted[:, LEARNING] = True
    used = np.asarray(fitted.any(axis=0))
    used[[0, LEARNING]] = True
    sums = _sums(table, questions, assumptions, stage, used)
    off: Floats = np.zeros(len(questions.on))
    rate: Floats = np.full(len(questions.on), prior.rate[stage])
    if pooled is not None:
        off, rate = pooled.off, rate * pooled.variance
        sums = _moved(sums, off)
    doubts = np.where(fitted, table.effects.doubts[stage], 0)[:, used]
    posterior = _learned(sums, prior, rate, doubts)
    rows = questions.design[:, stage]
    found = predict(posterior, rows[:, used])
    coefficients = np.tile(defaults, (len(rows), 1))
    coefficients[:, used] += posterior.coefficients
    expected = prior.location[stage] + rows @ defaults + off
    return expected + found.centre, found.scale, found.degrees, coefficients, sums.weights


def _moved(sums: Sums, off: Floats) -> Sums:
    """Return the sums of values that are each `off` less; the first effect is the level."""
    return Sums(
        squares=sums.squares,
        products=sums.products - off[:, None] * sums.squares[:, :, 0],
        values=sums.values - 2 * off * sums.products[:, 0] + off**2 * sums.weights,
        weights=sums.weights,
    )


def _learned(sums: Sums, prior: Prior, rate: Floats, doubts: Floats) -> Posterior:
    """Update the prior of a stage; an effect without doubt is held at the template's own.

    A doubt is worth more or fewer builds as hours scatter less or more. The scatter is the
    template's at first, then what the first update makes of it.
    """
    scatter = np.asarray(rate / prior.shape)
    for _ in range(2):
        worth = np.full(doubts.shape, HELD)
        np.divide(scatter[:, None], doubts**2, out=worth, where=doubts > 0)
        worth[:, 0] = prior.worth
        posterior = update(sums, precision=worth, shape=prior.shape, rate=rate)
        scatter = posterior.rate / posterior.shape
    return posterior


def _sums(
    table: HoursTable, questions: Questions, assumptions: Assumptions, stage: int, used: Flags
) -> Sums:
    """Add up the builds known at each question, each by its weight and its age on that day."""
    design = table.design[:, stage, used]
    values = table.logs[:, stage] - table.expected[:, stage]
    counted = table.counted[:, stage] * table.trust[:, stage]
    weights = table.weights * ages(table, table.finished, assumptions) * counted
    weighted = design * weights[:, None]
    age = 1 / ages(table, questions.on, assumptions)

    def known(parts: Floats) -> Floats:
        aged = age.reshape(-1, *[1] * (parts.ndim - 1))
        return questions.told(parts) * aged

    return Sums(
        squares=known(weighted[:, :, None] * design[:, None, :]),
        products=known(weighted * values[:, None]),
        values=known(weights * values**2),
        weights=known(weights),
    )
