"""A rolling back-test: every past build estimated from those finished before it was started."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import stdtr

from inventory.base.calc.hours import h_mm
from shop.estimates.calc.assumptions import BACKTEST_DRAWS, ENOUGH_TO_JUDGE, FEW_BUILDS, Assumptions
from shop.estimates.calc.distributions import Floats, student_quantile
from shop.estimates.calc.estimate import USUAL, check_stages
from shop.estimates.calc.prior import template_prior
from shop.estimates.calc.ranges import LEVELS
from shop.estimates.calc.records import PastBuild, StageFigures
from shop.estimates.calc.rolling import (
    Answers,
    Questions,
    answer,
    as_each_began,
    common_share,
    running,
    surprises_of,
)
from shop.estimates.calc.scores import Score, score
from shop.estimates.calc.table import Flags, HoursTable, effects_of, table_of
from shop.estimates.calc.totals import simulated_totals

NOMINAL = tuple(middle / 100 for middle in range(10, 100, 10))


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibration:
    """Of the middle `nominal` part of builds, the part that really fell within."""

    nominal: float
    stages: float
    total: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Backtest:
    """How honest the estimates have been.

    builds: keys of the builds scored, the earliest finished first. by_stage: one score a stage;
    stages: all of them together; total: whole builds. worse_than_mean: the plain mean of past
    builds would have missed less; None while there are too few to judge.
    """

    builds: tuple[str, ...]
    least_past: int
    by_stage: tuple[Score, ...]
    stages: Score
    total: Score
    calibration: tuple[Calibration, ...]
    worse_than_mean: bool | None
    verdict: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Played:
    """Past builds beside what was said of them: stages (builds, stages), totals (builds)."""

    chosen: Flags
    actual: Floats
    quantiles: Floats
    ranks: Floats
    plain: dict[str, Floats]


def backtest(
    stages: Sequence[StageFigures],
    builds: Sequence[PastBuild],
    assumptions: Assumptions = USUAL,
    *,
    least_past: int = FEW_BUILDS,
) -> Backtest:
    """Estimate each past build as on the day it was started, and score what was said.

    Builds of this template are scored that had `least_past` or more before them; related builds
    and what is set aside are not. A total is that of the stages that were recorded.
    """
    check_stages(stages)
    table = table_of(
        builds, effects_of(stages, builds, assumptions), template_prior(stages, assumptions)
    )
    asked = as_each_began(table)
    before = answer(table, asked, assumptions)
    scored = _scored(table, asked, least_past)
    by_stage = _played_stages(table, asked, before, scored)
    whole = _played_totals(table, asked, before, assumptions, by_stage)
    return _result(table, by_stage, whole, scored, least_past)


def _scored(table: HoursTable, asked: Questions, least_past: int) -> Flags:
    own = table.own & table.counted.any(axis=1)
    had = running(own.astype(float))[asked.known]
    return np.asarray(own & (had >= least_past))


def _played_stages(table: HoursTable, asked: Questions, before: Answers, scored: Flags) -> _Played:
    factors = np.array([build.factor for build in table.builds])[:, None]
    actual = np.exp(table.logs) * factors
    degrees = before.degrees[:, :, None]
    student = student_quantile(LEVELS, degrees)
    said = before.centre[:, :, None] + before.scale[:, :, None] * student
    surprises = (table.logs - before.centre) / before.scale
    return _Played(
        chosen=table.counted & scored[:, None],
        actual=actual,
        quantiles=np.exp(said) * factors[:, :, None],
        ranks=np.asarray(stdtr(before.degrees, surprises)),
        plain=_plain_figures(table, asked, actual),
    )


def _plain_figures(table: HoursTable, asked: Questions, actual: Floats) -> dict[str, Floats]:
    """Return the template's likely hours, and the mean of past builds or likely before any."""
    likely = np.array([stage.likely for stage in table.effects.stages])
    counted = table.counted & table.own[:, None]
    hours = running(np.where(counted, actual, 0))[asked.known]
    number = running(counted.astype(float))[asked.known]
    mean = np.where(number > 0, hours / np.maximum(number, 1), likely)
    return {"likely": np.broadcast_to(likely, actual.shape), "mean": mean}


def _played_totals(
    table: HoursTable, asked: Questions, before: Answers, assumptions: Assumptions, stages: _Played
) -> _Played:
    share = common_share(table, asked, surprises_of(table, before), assumptions)
    draws = simulated_totals(
        before, share, table.counted.astype(float), draws=BACKTEST_DRAWS, seed=assumptions.seed
    )
    actual = np.where(table.counted, stages.actual, 0).sum(axis=1)
    return _Played(
        chosen=np.asarray(stages.chosen.any(axis=1)),
        actual=actual,
        quantiles=np.quantile(draws, LEVELS, axis=1).T.reshape(len(actual), len(LEVELS)),
        ranks=(draws < actual[:, None]).mean(axis=1),
        plain={
            name: np.where(table.counted, figures, 0).sum(axis=1)
            for name, figures in stages.plain.items()
        },
    )


def _result(
    table: HoursTable, stages: _Played, whole: _Played, scored: Flags, least_past: int
) -> Backtest:
    total = _score("total", whole, whole.chosen)
    worse = _worse_than_mean(total)
    return Backtest(
        builds=tuple(table.builds[place].key for place in np.flatnonzero(scored)),
        least_past=least_past,
        by_stage=tuple(
            _score_stage(stages, place, figures.key)
            for place, figures in enumerate(table.effects.stages)
        ),
        stages=_score("stages", stages, stages.chosen),
        total=total,
        calibration=_calibration(stages, whole) if total.count else (),
        worse_than_mean=worse,
        verdict=_verdict(total, worse, least_past),
    )


def _score(key: str, played: _Played, chosen: Flags) -> Score:
    return score(key, played.actual, played.quantiles, played.plain, chosen)


def _score_stage(stages: _Played, place: int, key: str) -> Score:
    only = np.zeros_like(stages.chosen)
    only[:, place] = stages.chosen[:, place]
    return _score(key, stages, only)


def _calibration(stages: _Played, whole: _Played) -> tuple[Calibration, ...]:
    return tuple(
        Calibration(nominal=nominal, stages=_met(stages, nominal), total=_met(whole, nominal))
        for nominal in NOMINAL
    )


def _met(played: _Played, nominal: float) -> float:
    ranks = played.ranks[played.chosen]
    return float((np.abs(2 * ranks - 1) <= nominal).mean())


def _worse_than_mean(total: Score) -> bool | None:
    if not total.middle_loss or total.count < ENOUGH_TO_JUDGE:
        return None
    return total.middle_loss.estimate > total.middle_loss.mean


def _verdict(total: Score, worse: bool | None, least_past: int) -> str:
    if worse is None or not total.middle_loss:
        return (
            f"Too few past builds to judge: {total.count} had at least {least_past} before "
            f"them, and {ENOUGH_TO_JUDGE} are needed."
        )
    missed = h_mm(2 * total.middle_loss.estimate, 6)
    mean_missed = h_mm(2 * total.middle_loss.mean, 6)
    within = f"{100 * total.within[80]:.0f} % of {total.count} builds were within the 80 % range"
    if worse:
        return (
            "The estimate does worse than the mean of past builds: on average it was off by "
            f"{missed}, the mean by {mean_missed}; {within}."
        )
    return (
        f"On average the estimate was off by {missed}, the mean of past builds by "
        f"{mean_missed}; {within}."
    )
