"""The estimate of a build to come: stage by stage, in total, and what it was made from."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from shop.estimates.calc.assumptions import FEW_BUILDS, Assumptions
from shop.estimates.calc.chances import stage_chances
from shop.estimates.calc.distributions import Floats
from shop.estimates.calc.drift import with_drift
from shop.estimates.calc.pooling import Pooled, pool
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
    common_share,
    surprises_of,
)
from shop.estimates.calc.table import EFFECTS, HoursTable, effects_of, table_of
from shop.estimates.calc.totals import drawn_hours, left_together, simulated_totals
from shop.estimates.calc.trust import believed, is_far

USUAL = Assumptions()
LEAST_SHOWN_EFFECT = 1e-6
LEAST_TOLD = 0.1


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
    asked = _asked(stages, builds, wanted, assumptions)
    answers = asked.answers
    found = tuple(_stage(asked, wanted, assumptions, place) for place in range(len(stages)))
    draws = simulated_totals(
        answers, asked.share, asked.chances, draws=assumptions.draws, seed=assumptions.seed
    )
    table, known = asked.table, asked.question.known[0]
    own = int((table.own & table.counted.any(axis=1))[:known].sum())
    times = float(np.exp(asked.pooled.off[0]))
    return Estimate(
        stages=found,
        total=total_range(draws[0], sum(stage.chance * stage.hours.mean for stage in found)),
        past_builds=own,
        few=own < FEW_BUILDS,
        whose=_whose(own, assumptions) + _off_words(times) + _step_words(asked),
        common_share=float(asked.share[0]),
        template_times=times,
        spread_times=float(np.sqrt(asked.pooled.variance[0])),
        together=float(left_together(answers.together, asked.share)[0]),
    )


def draw_hours(
    stages: Sequence[StageFigures],
    builds: Sequence[PastBuild],
    wanted: EstimateRequest,
    assumptions: Assumptions = USUAL,
    *,
    draws: int = 1000,
    seed: int | None = None,
) -> Floats:
    """Return joint draws of the hours of every stage of the wanted build: (stages, draws).

    Stages in the order given; 0 where a draw does not meet the stage. Draws carry batch, options,
    learning, the chance of each stage and what the whole build shares. Different builds get
    independent draws by different seeds; the estimate's own without one. Raises ValueError as
    `estimate_hours` does.
    """
    asked = _asked(stages, builds, wanted, assumptions)
    drawn = drawn_hours(
        asked.answers,
        asked.share,
        asked.chances,
        slice(0, 1),
        draws=draws,
        seed=assumptions.seed if seed is None else seed,
    )
    return np.asarray(drawn[0])


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """One question with everything that its answer is made from."""

    table: HoursTable
    question: Questions
    answers: Answers
    share: Floats
    chances: Floats
    pooled: Pooled


def _asked(
    stages: Sequence[StageFigures],
    builds: Sequence[PastBuild],
    wanted: EstimateRequest,
    assumptions: Assumptions,
) -> _Asked:
    check_stages(stages)
    effects = effects_of(stages, [*builds, wanted], assumptions)
    table = table_of(builds, effects, template_prior(stages, assumptions))
    table, before = believed(table, assumptions)
    question = with_drift(table, _question(table, wanted), assumptions)
    pooled = pool(table, question, assumptions)
    return _Asked(
        table=table,
        question=question,
        answers=answer(table, question, assumptions, pooled),
        share=common_share(table, question, surprises_of(table, before), assumptions),
        chances=stage_chances(table, question, assumptions),
        pooled=pooled,
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
    asked: _Asked, wanted: EstimateRequest, assumptions: Assumptions, place: int
) -> StageEstimate:
    table, answers = asked.table, asked.answers
    centre, scale, degrees = (
        float(part[0, place]) for part in (answers.centre, answers.scale, answers.degrees)
    )
    # Alone a stage has what is left of the doubt about the whole template too.
    together = float(answers.together[0])
    return StageEstimate(
        key=table.effects.stages[place].key,
        hours=stage_range(centre, float(np.hypot(scale, together)), degrees),
        centre=centre,
        scale=scale,
        degrees=degrees,
        past=int(answers.past[0, place]),
        past_weight=float(answers.past_weight[0, place]),
        template_weight=assumptions.worth,
        effects=_effects(table, wanted, answers, place),
        figures=_figures(asked, wanted, assumptions, place),
        chance=float(asked.chances[0, place]),
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
    asked: _Asked, wanted: EstimateRequest, assumptions: Assumptions, place: int
) -> tuple[PastHours, ...]:
    table = asked.table
    key = table.effects.stages[place].key
    worth = _worth_on(table, wanted, assumptions) * asked.question.kept(len(table.builds))[0]
    trust = table.trust[:, place]
    return tuple(
        PastHours(
            build=build.key,
            hours=build.hours[key],
            weight=float(weight * trusted) if build.counts(key) else 0.0,
            counted=build.counts(key),
            far_off=build.counts(key) and is_far(trusted),
        )
        for build, weight, trusted in zip(table.builds, worth, trust, strict=True)
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


def _off_words(times: float) -> str:
    """Say how far the template as a whole was off, where that is a tenth or more."""
    if abs(times - 1) < LEAST_TOLD:
        return ""
    low = times > 1
    part = f"{100 * abs(times - 1):.0f} % {'more' if low else 'less'}"
    return (
        f" All stages together, builds took about {part} than the template says; the estimate "
        "allows for that."
    )


def _step_words(asked: _Asked) -> str:
    """Say since when hours are others than they were, where that can be told."""
    drift = asked.question.drift
    step = drift.told(0) if drift else None
    if step is None:
        return ""
    place, times = step
    table = asked.table
    # That there was a step is surer than between which two builds it lay: no day is named.
    since = table.builds[place].started
    kept = asked.question.kept(len(table.builds))[0][:place].mean()
    known = int(asked.question.known[0])
    return (
        f" Since about {since:%B %Y} builds take about {100 * abs(times - 1):.0f} % "
        f"{'more' if times > 1 else 'less'}, as {known - place} builds show beside {place} earlier "
        f"ones, which now count as {kept:.2f} builds each. Was it a new method, or practice?"
    )
