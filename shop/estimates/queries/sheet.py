"""An estimate laid out for reading: every figure with the past builds behind it."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import date

from shop.estimates.calc.assumptions import FEW_BUILDS
from shop.estimates.calc.records import (
    Effect,
    Estimate,
    HoursRange,
    PastBuild,
    PastHours,
    StageEstimate,
    StageFigures,
)
from shop.estimates.queries.estimates import estimate_with_past
from shop.estimates.queries.kept import kept
from shop.estimates.queries.past_builds import PastBuilds
from shop.models import Build, TemplateStage

WEIGHTIEST = 20
"""So many past builds are shown behind a figure: thousands would say no more."""

MOST_FAR_OFF = 5
"""So many hours that are far from what was expected are asked about at once, the latest."""


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

    chance: that a build meets it; hours are what it takes when it does. behind: the past builds
    that count most, or every one; `left_out` are not among them. far_off: those far from expected.
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
    left_out: int
    far_off: tuple[Behind, ...]


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

    @property
    def far_off(self) -> list[tuple[StageSheet, Behind]]:
        """Hours that are far from what was expected, the latest, with their stages."""
        places = {one.past.key: place for place, one in enumerate(self.builds)}
        found = [(row, one) for row in self.stages for one in row.far_off]
        found.sort(key=lambda pair: places[f"{pair[1].build.pk}"])
        return found[:MOST_FAR_OFF]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Told:
    """An estimate as it is laid out, with some of the past hours behind each stage.

    counts: of all past hours behind a stage, by its key. far_off: as `shown`. weights: what each
    build counts as, by its key.
    """

    estimate: Estimate
    counts: Mapping[str, int]
    far_off: Mapping[str, tuple[PastHours, ...]]
    weights: Mapping[str, float]


def estimate_sheet(
    record: PastBuilds,
    *,
    on: date,
    batch: int = 1,
    options: Collection[str] | None = None,
    every: bool = False,
) -> EstimateSheet:
    """Lay out the estimate of the next build as of `on`, in one query or two.

    every: with all past builds behind each figure, not only those that count most. Raises Refusal
    when no stage has likely hours.
    """
    chosen = record.on_by_default if options is None else frozenset(options)

    def told() -> _Told:
        estimate = estimate_with_past(record, on=on, batch=batch, options=chosen)
        return _told(estimate, most=len(record.builds) if every else WEIGHTIEST)

    asked = (on.isoformat(), batch, sorted(chosen))
    found = told() if every else kept(record, "sheet", asked, told)
    past = {build.key: build for build in record.builds}
    stages = {f"{stage.pk}": stage for stage in record.stages}
    return EstimateSheet(
        record=record,
        estimate=found.estimate,
        options=chosen,
        batch=batch,
        stages=tuple(
            _stage(one, stages[one.key], record, past, found) for one in found.estimate.stages
        ),
        builds=_builds(record, found.weights, stages),
    )


def _told(estimate: Estimate, most: int) -> _Told:
    weights: dict[str, float] = {}
    for stage in estimate.stages:
        for row in stage.figures:
            weights[row.build] = max(row.weight, weights.get(row.build, 0))
    shown = [replace(one, figures=weightiest(one.figures, most)) for one in estimate.stages]
    return _Told(
        estimate=replace(estimate, stages=tuple(shown)),
        counts={one.key: len(one.figures) for one in estimate.stages},
        far_off={
            one.key: tuple(row for row in one.figures if row.far_off)[-MOST_FAR_OFF:]
            for one in estimate.stages
        },
        weights=weights,
    )


def weightiest(rows: tuple[PastHours, ...], most: int) -> tuple[PastHours, ...]:
    """Return the hours that count most, in their order, and of equal ones the latest."""
    if len(rows) <= most:
        return rows
    places = sorted(range(len(rows)), key=lambda place: (-rows[place].weight, -place))
    return tuple(rows[place] for place in sorted(places[:most]))


def whose_figures(past: int) -> str:
    """Say whose figures hours are, after so many past builds."""
    if not past:
        return "template"
    builds = "1 build" if past == 1 else f"{past} builds"
    return f"mostly template, {builds}" if past < FEW_BUILDS else builds


def _stage(
    one: StageEstimate,
    stage: TemplateStage,
    record: PastBuilds,
    past: Mapping[str, PastBuild],
    found: _Told,
) -> StageSheet:
    def behind(rows: tuple[PastHours, ...]) -> tuple[Behind, ...]:
        """Set the builds behind hours, the latest first."""
        return tuple(
            Behind(
                build=record.rows[row.build],
                hours=row.hours,
                weight=row.weight,
                is_related=past[row.build].related,
                build_stages=record.build_stages[row.build][one.key],
                far_off=row.far_off,
                aside_by="" if row.counted else "build" if past[row.build].set_aside else "stage",
            )
            for row in reversed(rows)
        )

    return StageSheet(
        stage=stage,
        figures=record.figures[one.key],
        hours=one.hours,
        whose=whose_figures(one.past),
        past_weight=one.past_weight,
        template_weight=one.template_weight,
        effects=one.effects,
        chance=one.chance,
        behind=behind(one.figures),
        left_out=found.counts[one.key] - len(one.figures),
        far_off=behind(found.far_off[one.key]),
    )


def _builds(
    record: PastBuilds, weights: Mapping[str, float], stages: Mapping[str, TemplateStage]
) -> tuple[PastSheet, ...]:
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
