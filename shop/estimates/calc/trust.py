"""Hours far from anything expected count for little: a clock that stayed on, a build gone wrong."""

from dataclasses import replace

import numpy as np

from shop.estimates.calc.assumptions import FEW_BUILDS, Assumptions
from shop.estimates.calc.distributions import Floats
from shop.estimates.calc.drift import with_drift
from shop.estimates.calc.pooling import pool
from shop.estimates.calc.rolling import Answers, answer, as_each_began, surprises_of
from shop.estimates.calc.table import HoursTable

FAR = 3.0
"""Scales of the estimate made beforehand from which hours are far off (one in some hundred)."""


def believed(table: HoursTable, assumptions: Assumptions) -> tuple[HoursTable, Answers]:
    """Return the table with what each of its hours counts, and the answers before each build.

    Beyond `FAR` scales weight falls with the square of the distance, as a heavy-tailed likelihood
    has it. Judged by what was known before the build, once three builds were known.
    """
    asked = as_each_began(table)
    first = answer(table, asked, assumptions, pool(table, asked, assumptions))
    far = np.maximum(np.abs(surprises_of(table, first)) / FAR, 1)
    known = (first.past >= FEW_BUILDS) & (first.past_weight > 0)
    trusted = replace(table, trust=np.where(known, far**-2.0, 1.0))
    asked = with_drift(trusted, asked, assumptions)
    return trusted, answer(trusted, asked, assumptions, pool(trusted, asked, assumptions))


def is_far(trust: Floats) -> bool:
    """Say whether hours that count so much were far from what was expected."""
    return float(trust) < 1
