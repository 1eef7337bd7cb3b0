"""The chance of each stage: some are met in only some builds."""

import numpy as np

from shop.estimates.calc.assumptions import Assumptions
from shop.estimates.calc.distributions import Floats
from shop.estimates.calc.rolling import Questions, ages, running
from shop.estimates.calc.table import Flags, HoursTable

USUAL_MET, USUAL_SKIPPED = 0.8, 0.2
"""What a stage that was once skipped had met and missed before any build (a beta prior)."""

WHOLE_ENOUGH = 0.5
"""A build tells which stages it skipped when those recorded carry this part of likely hours."""


def stage_chances(table: HoursTable, questions: Questions, assumptions: Assumptions) -> Floats:
    """Return the chance that a build meets each stage, for each question (questions, stages).

    Beta and Bernoulli: a stage met in m of n builds comes with (m + 0.8) / (n + 1), builds by
    their age; a stage that no build known by then has skipped is certain. Only builds of this
    very template tell, and only of stages whose option was on.
    """
    open_to = could_meet(table)
    weight = (table.weights * ages(table, table.finished, assumptions))[:, None]
    age = 1 / ages(table, questions.on, assumptions)[:, None]
    met = running(weight * (open_to & table.counted))[questions.known] * age
    asked = running(weight * open_to)[questions.known] * age
    skipped = running((open_to & ~table.counted).astype(float))[questions.known]
    chance = (met + USUAL_MET) / (asked + USUAL_MET + USUAL_SKIPPED)
    return np.where(skipped > 0, chance, 1.0)


def could_meet(table: HoursTable) -> Flags:
    """Say which stages each build would have recorded had it met them: (builds, stages)."""
    stages = table.effects.stages
    wanted = [
        [
            not build.set_aside
            and stage.key not in build.stages_set_aside
            and (not stage.option or stage.option in build.options)
            for stage in stages
        ]
        for build in table.builds
    ]
    wanted_flags = np.array(wanted, dtype=bool).reshape(table.counted.shape)
    likely = np.array([stage.likely for stage in stages])
    recorded = (table.counted * likely).sum(axis=1)
    tells = table.own & (recorded >= WHOLE_ENOUGH * (wanted_flags * likely).sum(axis=1))
    return np.asarray(wanted_flags & tells[:, None] & (recorded > 0)[:, None])
