"""Past builds of a template and of its related ones, as estimates read them."""

import hashlib
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cached_property
from itertools import groupby
from typing import Any

from django.db.models import Count

from shop.estimates.calc.assumptions import Assumptions
from shop.estimates.calc.records import PastBuild, StageFigures
from shop.hours.queries.sums import seconds_by_stage
from shop.models import (
    FINISHED_STATES,
    Build,
    BuildHours,
    BuildState,
    BuildTemplate,
    EstimateSettings,
    RelatedTemplate,
    StageAlias,
    TemplateStage,
    TimeShare,
)
from shop.patterns.queries import on_by_default

SECONDS_AN_HOUR = 3600
NEVER = date.max
USUAL_LOW = Decimal("0.5")
"""Part of the likely hours that stands in for low hours of 0."""


@dataclass(frozen=True, kw_only=True)
class PastBuilds:
    """What the books say of a template.

    stages: those that have likely hours; `without_hours` those that have none and can't be
    estimated. on_by_default: names of options that are on as a rule. figures: of each stage, by
    its key. builds: finished ones, the earliest begun first. rows: key → the build itself.
    elsewhere: key → hours of that build that belong to no stage of the template. build_stages:
    build's key → stage's key → its own stages behind those hours. made: builds of this pattern
    begun so far, those before the books among them.
    """

    template: BuildTemplate
    stages: tuple[TemplateStage, ...]
    without_hours: tuple[TemplateStage, ...]
    on_by_default: frozenset[str]
    figures: Mapping[str, StageFigures]
    builds: tuple[PastBuild, ...]
    rows: Mapping[str, Build]
    elsewhere: Mapping[str, float]
    build_stages: Mapping[str, Mapping[str, tuple[int, ...]]]
    made: int
    assumptions: Assumptions

    def stages_with(self, options: Collection[str]) -> list[TemplateStage]:
        """Return the stages that a build with `options` goes through."""
        return [one for one in self.stages if one.option is None or one.option.name in options]

    @property
    def own_builds(self) -> list[PastBuild]:
        """Builds of this very template."""
        return [build for build in self.builds if not build.related]

    @cached_property
    def mark(self) -> str:
        """A text that is another one as soon as anything differs that figures are made from."""
        mark = hashlib.sha256()
        settled = (self.template.pk, self.made, sorted(self.on_by_default), self.assumptions)
        for part in (settled, *self.figures.values(), *map(_plain, self.builds)):
            mark.update(repr(part).encode())
        return mark.hexdigest()


def _plain(build: PastBuild) -> tuple[Any, ...]:
    """Return a past build as values whose text is the same in every process: sets are not."""
    values = (getattr(build, name) for name in build.__dataclass_fields__)
    return tuple(sorted(one) if isinstance(one, frozenset) else one for one in values)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Hours:
    """Hours of one build: by stage key, set aside or not, and what fits no stage."""

    by_stage: dict[str, float]
    set_aside: frozenset[str]
    elsewhere: float
    build_stages: dict[str, tuple[int, ...]]


def record_of(template: BuildTemplate) -> PastBuilds:
    """Read everything that estimates of `template` are made from, in nine queries."""
    stages = list(template.stages.select_related("option"))
    options = on_by_default(template.options.all())
    related: dict[int | None, RelatedTemplate] = {
        one.related_id: one for one in template.related_templates.select_related("related")
    }
    templates = [template.pk, *(one.related_id for one in related.values())]
    builds = _builds(templates)
    sizes = _batch_sizes(templates)
    hours = _hours(
        templates, _names(template, stages), {stage.pk: f"{stage.pk}" for stage in stages}
    )
    numbers = _numbers(builds, [template, *(one.related for one in related.values())])
    own = sum(build.template_id == template.pk for build in builds)
    finished = [build for build in builds if build.state in FINISHED_STATES and _end(build)]
    return PastBuilds(
        template=template,
        stages=tuple(stage for stage in stages if stage.hours_likely > 0),
        without_hours=tuple(stage for stage in stages if stage.hours_likely <= 0),
        on_by_default=frozenset(options),
        figures={f"{one.pk}": figures_of(one) for one in stages if one.hours_likely > 0},
        builds=tuple(
            _past(
                build,
                hours.get(build.pk),
                sizes.get(build.batch_id, 1),
                numbers[build.pk],
                related.get(build.template_id),
            )
            for build in finished
        ),
        rows={f"{build.pk}": build for build in finished},
        elsewhere={f"{pk}": one.elsewhere for pk, one in hours.items() if one.elsewhere},
        build_stages={f"{pk}": one.build_stages for pk, one in hours.items()},
        made=template.made_before + own,
        assumptions=assumptions_now(),
    )


def assumptions_now() -> Assumptions:
    """Return what estimates take for granted in this workshop."""
    row = EstimateSettings.objects.first() or EstimateSettings()
    return Assumptions(
        low_percentile=row.low_percentile,
        high_percentile=row.high_percentile,
        likely_is="mode" if row.likely_is == EstimateSettings.Likely.MODE else "median",
        worth=float(row.worth),
        spread_worth=float(row.spread_worth),
        half_life_years=None if row.half_life_years is None else float(row.half_life_years),
        least_each_side=row.least_each_side,
        settled_number=row.settled_number,
        common_share=float(row.common_share),
        common_worth=float(row.common_worth),
        batch_doubt=float(row.batch_doubt),
        option_doubt=float(row.option_doubt),
        learning_doubt=float(row.learning_doubt),
        template_doubt=float(row.template_doubt),
        pooled_worth=float(row.pooled_worth),
        first_more=float(row.first_more),
        drift_chance=float(row.drift_chance),
    )


def figures_of(stage: TemplateStage) -> StageFigures:
    """Return a stage's own hours; low hours of 0 are read as half of the likely ones."""
    savings = {2: float(stage.saving_two), 4: float(stage.saving_four)}
    return StageFigures(
        key=f"{stage.pk}",
        low=float(stage.hours_low or stage.hours_likely * USUAL_LOW),
        likely=float(stage.hours_likely),
        high=float(stage.hours_high),
        batch_savings=savings if any(savings.values()) else {},
        option=stage.option.name if stage.option else "",
    )


def _builds(templates: Collection[int]) -> list[Build]:
    rows = Build.objects.filter(template__in=templates).exclude(state=BuildState.CANCELLED)
    return sorted(rows, key=lambda build: (_begin(build), build.pk))


def _begin(build: Build) -> date:
    return min(build.started_on or build.made_on, _end(build) or NEVER)


def _end(build: Build) -> date | None:
    return build.finished_on or build.closed_on


def _batch_sizes(templates: Collection[int]) -> dict[int | None, int]:
    """Return batch → its builds, those of other templates among them, cancelled ones not."""
    batches = Build.objects.filter(template__in=templates, batch__isnull=False).values("batch")
    counted = Build.objects.filter(batch__in=batches).exclude(state=BuildState.CANCELLED)
    return dict(counted.order_by().values_list("batch").annotate(size=Count("pk")))


def _numbers(builds: Iterable[Build], patterns: Iterable[BuildTemplate]) -> dict[int, int]:
    """Return build → its number in its pattern; builds of one batch share that of the first."""
    made_before = {pattern.pk: pattern.made_before for pattern in patterns}
    numbers: dict[int, int] = {}
    by_pattern = sorted(builds, key=lambda build: build.template_id or 0)
    for pattern, group in groupby(by_pattern, key=lambda build: build.template_id or 0):
        of_batch: dict[int, int] = {}
        for place, build in enumerate(group, start=1 + made_before.get(pattern, 0)):
            numbers[build.pk] = of_batch.setdefault(build.batch_id or -build.pk, place)
    return numbers


def _names(template: BuildTemplate, stages: Iterable[TemplateStage]) -> dict[str, int]:
    """Return what stages are called here and in the maker's old sheets → the stage's key."""
    aliases = template.stage_aliases.filter(use=StageAlias.Use.STAGE, stage__isnull=False)
    known = {written: key for written, key in aliases.values_list("written", "stage") if key}
    return known | {stage.name.casefold(): stage.pk for stage in stages}


def _hours(
    templates: Collection[int], names: Mapping[str, int], own: Mapping[int, str]
) -> dict[int, _Hours]:
    """Return the time of each finished build by stage of the template, in two queries.

    It is read from what is kept; entries are added up where nothing is kept yet.
    """
    kept = BuildHours.objects.filter(build__template__in=templates)
    sums: dict[int, Any] = dict(kept.values_list("build", "stages"))
    sums |= seconds_by_stage(
        TimeShare.objects.filter(
            build__template__in=templates,
            build__state__in=FINISHED_STATES,
            build__kept_hours__isnull=True,
        )
    )
    return {pk: _hours_of_one(rows, names, own) for pk, rows in sums.items()}


def _hours_of_one(rows: Iterable[Any], names: Mapping[str, int], own: Mapping[int, str]) -> _Hours:
    by_stage: dict[str, float] = {}
    build_stages: dict[str, tuple[int, ...]] = {}
    set_aside, elsewhere = set(), 0
    for stage, template_stage, name, is_set_aside, seconds in rows:
        key = own.get(template_stage) or own.get(names.get((name or "").casefold(), 0))
        if key is None:
            elsewhere += seconds
        elif seconds:
            by_stage[key] = by_stage.get(key, 0) + seconds / SECONDS_AN_HOUR
            build_stages[key] = (*build_stages.get(key, ()), stage)
            if is_set_aside:
                set_aside.add(key)
    return _Hours(
        by_stage=by_stage,
        set_aside=frozenset(set_aside),
        elsewhere=elsewhere / SECONDS_AN_HOUR,
        build_stages=build_stages,
    )


def _past(
    build: Build, hours: _Hours | None, batch: int, number: int, related: RelatedTemplate | None
) -> PastBuild:
    return PastBuild(
        key=f"{build.pk}",
        started=_begin(build),
        finished=_end(build) or NEVER,
        hours=hours.by_stage if hours else {},
        batch=batch,
        number=number,
        options=frozenset(build.options),
        weight=float(related.weight) if related else 1.0,
        factor=float(related.factor) if related else 1.0,
        related=related is not None,
        set_aside=build.is_set_aside,
        stages_set_aside=hours.set_aside if hours else frozenset(),
    )
