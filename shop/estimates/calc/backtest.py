"""A rolling back-test: every past build estimated from those finished before it was started."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import stdtr

from inventory.base.calc.hours import h_mm
from shop.estimates.calc.assumptions import BACKTEST_DRAWS, ENOUGH_TO_JUDGE, FEW_BUILDS, Assumptions
from shop.estimates.calc.chances import could_meet, stage_chances
from shop.estimates.calc.compared import Compared, compare, share_interval
from shop.estimates.calc.distributions import Floats, student_quantile
from shop.estimates.calc.estimate import USUAL, check_stages
from shop.estimates.calc.prior import template_prior
from shop.estimates.calc.ranges import LEVELS
from shop.estimates.calc.records import PastBuild, StageFigures
from shop.estimates.calc.rolling import (
    Answers,
    Questions,
    as_each_began,
    common_share,
    running,
    surprises_of,
)
from shop.estimates.calc.scores import Score, pinball, score
from shop.estimates.calc.table import Flags, HoursTable, effects_of, table_of
from shop.estimates.calc.totals import simulated_totals
from shop.estimates.calc.trust import believed

NOMINAL_RANGE = 0.8
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
    builds would have missed less; None while there are too few to judge, or none can be told.
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
    table, before = believed(table, assumptions)
    asked = as_each_began(table)
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
    included = _included(table, asked, assumptions)
    draws = simulated_totals(before, share, included, draws=BACKTEST_DRAWS, seed=assumptions.seed)
    actual = np.where(table.counted, stages.actual, 0).sum(axis=1)
    return _Played(
        chosen=np.asarray(stages.chosen.any(axis=1)),
        actual=actual,
        quantiles=np.quantile(draws, LEVELS, axis=1).T.reshape(len(actual), len(LEVELS)),
        ranks=(draws < actual[:, None]).mean(axis=1),
        plain={name: (included * figures).sum(axis=1) for name, figures in stages.plain.items()},
    )


def _included(table: HoursTable, asked: Questions, assumptions: Assumptions) -> Floats:
    """Return the chance that each stage was to belong to the total, as known beforehand.

    What builds skip now and then has its chance; of the rest the total is what was recorded.
    """
    chances = stage_chances(table, asked, assumptions)
    return np.where(could_meet(table) & (chances < 1), chances, table.counted.astype(float))


def _result(
    table: HoursTable, stages: _Played, whole: _Played, scored: Flags, least_past: int
) -> Backtest:
    total = _score("total", whole, whole.chosen)
    compared = _compared(whole) if total.count >= ENOUGH_TO_JUDGE else None
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
        worse_than_mean=_worse_than_mean(compared),
        verdict=_verdict(total, compared, least_past),
    )


def _score(key: str, played: _Played, chosen: Flags) -> Score:
    return score(key, played.actual, played.quantiles, played.plain, chosen)


def _compared(whole: _Played) -> Compared:
    chosen = whole.chosen
    middle = whole.quantiles[chosen][:, list(LEVELS).index(0.5)]
    actual = whole.actual[chosen]
    return compare(pinball(actual, middle, 0.5), pinball(actual, whole.plain["mean"][chosen], 0.5))


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


def _worse_than_mean(compared: Compared | None) -> bool | None:
    """Say whether the plain mean was better; None while no difference can be told."""
    if compared is None or not compared.told:
        return None
    return compared.difference > 0


def _verdict(total: Score, compared: Compared | None, least_past: int) -> str:
    if compared is None or not total.middle_loss:
        return (
            f"Too few past builds to judge: {total.count} had at least {least_past} before "
            f"them, and {ENOUGH_TO_JUDGE} are needed."
        )
    missed = h_mm(2 * total.middle_loss.estimate, 6)
    mean_missed = h_mm(2 * total.middle_loss.mean, 6)
    held = round(total.within[80] * total.count)
    within = (
        f"{held} of {total.count} builds were within the 80 % range, {_range_words(held, total)}"
    )
    by = f"on average it was off by {missed}, the mean by {mean_missed}"
    if not compared.told:
        return (
            f"No difference from the mean of past builds can be told yet from {total.count} "
            f"builds: on average the estimate was off by {missed}, the mean by {mean_missed}; "
            f"{within}."
        )
    better = "worse" if compared.difference > 0 else "better"
    return f"The estimate does {better} than the mean of past builds: {by}; {within}."


def _range_words(held: int, total: Score) -> str:
    """Say whether so many within agree with eight in ten (95 % interval of a share)."""
    low, high = share_interval(held, total.count)
    if low > NOMINAL_RANGE:
        return "more than it promises"
    if high < NOMINAL_RANGE:
        return "fewer than it promises"
    return "which agrees with it"
