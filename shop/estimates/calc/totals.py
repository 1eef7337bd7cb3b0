"""Hours of a whole build: seeded draws in which slow builds are slow in most stages."""

import numpy as np
from scipy.special import ndtri

from shop.estimates.calc.distributions import Floats, student_from_normal
from shop.estimates.calc.rolling import Answers

BUILDS_AT_ONCE = 32


def simulated_totals(
    answers: Answers, share: Floats, included: Floats, *, draws: int, seed: int
) -> Floats:
    """Return `draws` totals of hours for each question (questions, draws).

    share: the common share of each question. included: the chance that each stage belongs to the
    total, 1 for certain (questions, stages). The same normal values serve every question, so that
    one question gives the same draws alone and among others.
    """
    totals = np.empty((len(share), draws))
    for start in range(0, len(share), BUILDS_AT_ONCE):
        some = slice(start, start + BUILDS_AT_ONCE)
        hours = drawn_hours(answers, share, included, some, draws=draws, seed=seed)
        totals[some] = hours.sum(axis=1)
    return totals


def drawn_hours(
    answers: Answers, share: Floats, included: Floats, some: slice, *, draws: int, seed: int
) -> Floats:
    """Return joint draws of the hours of each stage, 0 where it is not met (questions, stages,
    draws), for `some` of the questions; see `simulated_totals`."""
    stages = answers.centre.shape[1]
    common, *rest = shuffled_normals(stages + 1, draws, seed)
    shared = share[some, None, None]
    normal = np.sqrt(shared) * common + np.sqrt(1 - shared) * np.array(rest)
    student = student_from_normal(normal, answers.degrees[some, :, None])
    logs = answers.centre[some, :, None] + answers.scale[some, :, None] * student
    if answers.together[some].any():
        together = left_together(answers.together, share)[some, None, None]
        logs = logs + together * shuffled_normals(1, draws, seed + 2)
    hours = np.exp(logs)
    if (included[some] >= 1).all():
        return np.asarray(hours)
    chance = shuffled_normals(stages, draws, seed + 1)
    return np.asarray(hours * (chance < ndtri(np.clip(included[some], 0, 1))[:, :, None]))


def left_together(together: Floats, share: Floats) -> Floats:
    """Return the doubt about a whole template beside the common share, which carries its part of
    it: each stage's scale has its own in it."""
    return np.asarray(together * np.sqrt(1 - share))


def shuffled_normals(rows: int, draws: int, seed: int) -> Floats:
    """Return rows of evenly spread standard normal values, each row in an order of its own.

    A Latin hypercube: far steadier than independent draws. Source: McKay, Beckman and Conover,
    Technometrics 21, 1979 (from memory).
    """
    spread = ndtri((np.arange(draws) + 0.5) / draws)
    return np.random.default_rng(seed).permuted(np.tile(spread, (rows, 1)), axis=1)
