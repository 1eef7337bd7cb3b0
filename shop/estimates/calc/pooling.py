"""What all stages together say of a template: how far it is off, and how sure of itself."""

from dataclasses import dataclass

import numpy as np

from shop.estimates.calc.assumptions import Assumptions
from shop.estimates.calc.distributions import Floats
from shop.estimates.calc.rolling import Questions, ages, running
from shop.estimates.calc.table import HoursTable

LEAST_BUILDS = 2
LEAST_TIMES, MOST_TIMES = 0.5, 8.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Pooled:
    """For each question: log by which the whole template is low, with the doubt (sd) that is left,
    and times its variance."""

    off: Floats
    doubt: Floats
    variance: Floats


def pool(table: HoursTable, questions: Questions, assumptions: Assumptions) -> Pooled:
    """Return what the builds known at each question say of the template as a whole.

    The stages' mean deviations from what the template expects are one error that all share and
    one of their own; the first is their weighted mean, drawn to 0 as few builds ask. How they
    scatter around their own means, against what low and high say, tells how sure a template may be
    of itself. Both need two builds. Deviations are those before any effect is fitted.
    """
    prior = table.prior
    usual, worth_of_spread = assumptions.template_doubt, assumptions.pooled_worth
    age = 1 / ages(table, questions.on, assumptions)[:, None]
    builds = (table.weights * ages(table, table.finished, assumptions))[:, None]
    weights = builds * table.trust * table.counted
    values = table.logs - table.expected
    number, total, squares = (
        questions.told(part) * age for part in (weights, weights * values, weights * values**2)
    )
    met = running((builds * table.counted).max(axis=1, initial=0))[questions.known] * age[:, 0]
    known = np.maximum(number, 1e-9)
    mean = total / known
    scatter = prior.rate / prior.shape
    around = np.maximum(squares - total**2 / known, 0) / scatter
    freedom = np.maximum(number - 1, 0)
    variance = (worth_of_spread + around.sum(axis=1)) / (worth_of_spread + freedom.sum(axis=1))
    variance = np.clip(variance, LEAST_TIMES, MOST_TIMES)
    doubt = scatter * (1 / prior.worth + variance[:, None] / known)
    worth = np.where(number > 0, 1 / doubt, 0)
    together = worth.sum(axis=1)
    off = (worth * mean).sum(axis=1) / np.maximum(together, 1e-9)
    shared = assumptions.common_share * variance * scatter.mean() / np.maximum(met, 1e-9)
    kept = usual**2 / (usual**2 + 1 / np.maximum(together, 1e-9) + shared)
    enough = met >= LEAST_BUILDS - 0.5
    return Pooled(
        off=np.where(enough, off * kept, 0.0),
        doubt=np.where(enough, usual * np.sqrt(1 - kept), 0.0),
        variance=np.where(enough, variance, 1.0),
    )
