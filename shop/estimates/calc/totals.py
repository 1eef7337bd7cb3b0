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

    share: the common share of each question. included: 1 for stages that belong to the total, 0
    for others (questions, stages). The same normal values serve every question, so that one
    question gives the same draws alone and among others.
    """
    common, *rest = shuffled_normals(answers.centre.shape[1] + 1, draws, seed)
    apart = np.array(rest)
    totals = np.empty((len(share), draws))
    for start in range(0, len(share), BUILDS_AT_ONCE):
        some = slice(start, start + BUILDS_AT_ONCE)
        shared = share[some, None, None]
        normal = np.sqrt(shared) * common + np.sqrt(1 - shared) * apart
        student = student_from_normal(normal, answers.degrees[some, :, None])
        hours = np.exp(answers.centre[some, :, None] + answers.scale[some, :, None] * student)
        totals[some] = (hours * included[some, :, None]).sum(axis=1)
    return totals


def shuffled_normals(rows: int, draws: int, seed: int) -> Floats:
    """Return rows of evenly spread standard normal values, each row in an order of its own.

    A Latin hypercube: far steadier than independent draws. Source: McKay, Beckman and Conover,
    Technometrics 21, 1979 (from memory).
    """
    spread = ndtri((np.arange(draws) + 0.5) / draws)
    return np.random.default_rng(seed).permuted(np.tile(spread, (rows, 1)), axis=1)
