"""An estimate laid out for reading: every figure with the past builds behind it."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date

from shop.estimates.calc.assumptions import FEW_BUILDS
from shop.estimates.calc.records import (
    Effect,
    Estimate,
    HoursRange,
    PastBuild,
    StageEstimate,
    StageFigures,
)
from shop.estimates.queries.estimates import estimate_from
from shop.estimates.queries.past_builds import PastBuilds
from shop.models import Build, TemplateStage

WEIGHTIEST = 20
"""So many past builds are shown behind a figure: thousands would say no more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Behind:
    """One past build behind a stage: its hours and the builds that it counts as.

    build_stages: its own stages that these hours were clocked on. aside_by: what set it aside,
    `build`, `stage` or nothing. far_off: so far from what was expected that it counts for little.
    """

    build: Build
    hours: float
    weight: float
    is_related: bool
    build_stages: tuple[int, ...]
    aside_by: str
    far_off: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class StageSheet:
    """One stage: the template's own figures, the range, whose figures it goes by, and why.

    chance: that a build meets it; hours are what it takes when it does.
    """

    stage: TemplateStage
    figures: StageFigures
    hours: HoursRange
    whose: str
    past_weight: float
    template_weight: float
    effects: tuple[Effect, ...]
    chance: float
    behind: tuple[Behind, ...]

    @property
    def weightiest(self) -> tuple[Behind, ...]:
        """The past builds that count most, in their order, and of equal ones the latest."""
        if len(self.behind) <= WEIGHTIEST:
            return self.behind
        places = sorted(range(len(self.behind)), key=lambda place: -self.behind[place].weight)
        return tuple(self.behind[place] for place in sorted(places[:WEIGHTIEST]))

    @property
    def left_out(self) -> int:
        """How many past builds count in the figure and are not among the weightiest."""
        return len(self.behind) - len(self.weightiest)


@dataclass(frozen=True, slots=True, kw_only=True)
class PastSheet:
    """One past build. weight: builds that it counts as today; 0 when it is set aside."""

    build: Build
    past: PastBuild
    hours: float
    elsewhere: float
    weight: float
    stages_aside: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EstimateSheet:
    """An estimate with everything that it was made from. builds: the latest finished first."""

    record: PastBuilds
    estimate: Estimate
    options: frozenset[str]
    batch: int
    stages: tuple[StageSheet, ...]
    builds: tuple[PastSheet, ...]

    @property
    def likely(self) -> float:
        """The template's own likely hours, made alone."""
        return sum(one.figures.likely for one in self.stages)

    @property
    def whose(self) -> str:
        """Whose figures the total goes by."""
        return whose_figures(self.estimate.past_builds)


def estimate_sheet(
    record: PastBuilds, *, on: date, batch: int = 1, options: Collection[str] | None = None
) -> EstimateSheet:
    """Lay out the estimate of the next build as of `on`. Asks the database for nothing more.

    Raises Refusal when no stage has likely hours.
    """
    chosen = record.on_by_default if options is None else frozenset(options)
    estimate = estimate_from(record, on=on, batch=batch, options=chosen)
    past = {build.key: build for build in record.builds}
    stages = {f"{stage.pk}": stage for stage in record.stages}
    return EstimateSheet(
        record=record,
        estimate=estimate,
        options=chosen,
        batch=batch,
        stages=tuple(_stage(one, stages[one.key], record, past) for one in estimate.stages),
        builds=_builds(record, estimate, stages),
    )


def whose_figures(past: int) -> str:
    """Say whose figures hours are, after so many past builds."""
    if not past:
        return "template"
    builds = "1 build" if past == 1 else f"{past} builds"
    return f"mostly template, {builds}" if past < FEW_BUILDS else builds


def _stage(
    one: StageEstimate, stage: TemplateStage, record: PastBuilds, past: Mapping[str, PastBuild]
) -> StageSheet:
    behind = [
        Behind(
            build=record.rows[row.build],
            hours=row.hours,
            weight=row.weight,
            is_related=past[row.build].related,
            build_stages=record.build_stages[row.build, one.key],
            far_off=row.far_off,
            aside_by="" if row.counted else "build" if past[row.build].set_aside else "stage",
        )
        for row in one.figures
    ]
    return StageSheet(
        stage=stage,
        figures=record.figures[one.key],
        hours=one.hours,
        whose=whose_figures(one.past),
        past_weight=one.past_weight,
        template_weight=one.template_weight,
        effects=one.effects,
        chance=one.chance,
        behind=tuple(reversed(behind)),
    )


def _builds(
    record: PastBuilds, estimate: Estimate, stages: Mapping[str, TemplateStage]
) -> tuple[PastSheet, ...]:
    weights: dict[str, float] = {}
    for stage in estimate.stages:
        for row in stage.figures:
            weights[row.build] = max(row.weight, weights.get(row.build, 0))
    latest = sorted(record.builds, key=lambda build: (build.finished, build.key), reverse=True)
    return tuple(
        PastSheet(
            build=record.rows[past.key],
            past=past,
            hours=sum(past.hours.values()),
            elsewhere=record.elsewhere.get(past.key, 0),
            weight=weights.get(past.key, 0),
            stages_aside=tuple(stages[key].name for key in past.stages_set_aside if key in stages),
        )
        for past in latest
    )
