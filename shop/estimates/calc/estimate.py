"""The estimate of a build to come: stage by stage, in total, and what it was made from."""

from collections.abc import Sequence

import numpy as np

from shop.estimates.calc.assumptions import FEW_BUILDS, Assumptions
from shop.estimates.calc.distributions import Floats
from shop.estimates.calc.prior import template_prior
from shop.estimates.calc.ranges import stage_range, total_range
from shop.estimates.calc.records import (
    Effect,
    Estimate,
    EstimateRequest,
    PastBuild,
    PastHours,
    StageEstimate,
    StageFigures,
)
from shop.estimates.calc.rolling import (
    Answers,
    Questions,
    ages,
    answer,
    as_each_began,
    common_share,
    surprises_of,
)
from shop.estimates.calc.table import EFFECTS, HoursTable, effects_of, table_of
from shop.estimates.calc.totals import simulated_totals

USUAL = Assumptions()
LEAST_SHOWN_EFFECT = 1e-6


def estimate_hours(
    stages: Sequence[StageFigures],
    builds: Sequence[PastBuild],
    wanted: EstimateRequest,
    assumptions: Assumptions = USUAL,
) -> Estimate:
    """Return the hours of the wanted build from the template's figures and past builds.

    The log of a stage's hours is normal around a level with effects of batch, options and
    learning; the template is the prior and past builds update it by their weights, so that the
    next build follows a Student t. Totals are simulated with a share of surprise common to all
    stages. Raises ValueError when there are no stages or two of one key.
    """
    check_stages(stages)
    effects = effects_of(stages, [*builds, wanted], assumptions)
    table = table_of(builds, effects, template_prior(stages, assumptions))
    asked = _question(table, wanted)
    before = as_each_began(table)
    surprises = surprises_of(table, answer(table, before, assumptions))
    share = common_share(table, asked, surprises, assumptions)
    answers = answer(table, asked, assumptions)
    found = tuple(
        _stage(table, wanted, answers, assumptions, place) for place in range(len(stages))
    )
    draws = simulated_totals(
        answers,
        share,
        np.ones((1, len(stages))),
        draws=assumptions.draws,
        seed=assumptions.seed,
    )
    own = int((table.own & table.counted.any(axis=1))[: asked.known[0]].sum())
    return Estimate(
        stages=found,
        total=total_range(draws[0], sum(stage.hours.mean for stage in found)),
        past_builds=own,
        few=own < FEW_BUILDS,
        whose=_whose(own, assumptions),
        common_share=float(share[0]),
    )


def check_stages(stages: Sequence[StageFigures]) -> None:
    """Raise ValueError when there are no stages or two of one key."""
    keys = [stage.key for stage in stages]
    if not keys:
        raise ValueError("An estimate needs at least one stage.")
    twice = {key for key in keys if keys.count(key) > 1}
    if twice:
        raise ValueError(f"The stage {min(twice)} is listed twice; each needs its own key.")


def _question(table: HoursTable, wanted: EstimateRequest) -> Questions:
    day = wanted.on.toordinal()
    known = np.searchsorted(table.finished, [day], side="right")
    return Questions(known=known, on=np.array([day]), design=table.effects.design([wanted]))


def _stage(
    table: HoursTable,
    wanted: EstimateRequest,
    answers: Answers,
    assumptions: Assumptions,
    place: int,
) -> StageEstimate:
    centre, scale, degrees = (
        float(part[0, place]) for part in (answers.centre, answers.scale, answers.degrees)
    )
    key = table.effects.stages[place].key
    return StageEstimate(
        key=key,
        hours=stage_range(centre, scale, degrees),
        centre=centre,
        scale=scale,
        degrees=degrees,
        past=int(answers.past[0, place]),
        past_weight=float(answers.past_weight[0, place]),
        template_weight=assumptions.worth,
        effects=_effects(table, wanted, answers, place),
        figures=_figures(table, wanted, assumptions, key),
    )


def _effects(
    table: HoursTable, wanted: EstimateRequest, answers: Answers, place: int
) -> tuple[Effect, ...]:
    rows = table.effects.design([wanted])[0, place]
    logs = rows * answers.coefficients[0, place]
    names = [
        "level",
        f"batch of {wanted.batch}",
        f"build no. {wanted.number} of this template",
        *table.effects.options,
    ]
    return tuple(
        Effect(name=name, factor=float(np.exp(log)), fitted=bool(fitted))
        for name, log, fitted in zip(names, logs, answers.fitted[0, place], strict=True)
        if name != EFFECTS[0] and abs(log) > LEAST_SHOWN_EFFECT
    )


def _figures(
    table: HoursTable, wanted: EstimateRequest, assumptions: Assumptions, key: str
) -> tuple[PastHours, ...]:
    worth = _worth_on(table, wanted, assumptions)
    return tuple(
        PastHours(
            build=build.key,
            hours=build.hours[key],
            weight=float(weight) if build.counts(key) else 0.0,
            counted=build.counts(key),
        )
        for build, weight in zip(table.builds, worth, strict=True)
        if build.hours.get(key, 0) > 0 and build.finished <= wanted.on
    )


def _worth_on(table: HoursTable, wanted: EstimateRequest, assumptions: Assumptions) -> Floats:
    """Return what each past build counts as on the day asked about."""
    day = np.array([wanted.on.toordinal()])
    aged = ages(table, table.finished, assumptions) / ages(table, day, assumptions)
    return np.asarray(table.weights * aged)


def _whose(own: int, assumptions: Assumptions) -> str:
    worth = f"{assumptions.worth:g} builds"
    if not own:
        return "No past builds yet: these are the template's own figures."
    if own < FEW_BUILDS:
        only = "one past build" if own == 1 else f"{own} past builds"
        return (
            f"Only {only} so far: these are mostly the template's own figures, which count as "
            f"{worth}."
        )
    return f"From {own} past builds; the template's own figures count as {worth}."
