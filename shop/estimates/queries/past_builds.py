"""Past builds of a template and of its related ones, as estimates read them."""

import hashlib
import json
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from functools import cached_property
from itertools import groupby
from typing import Any, NamedTuple

from django.db.models import Count, TextField
from django.db.models.functions import Cast

from shop.estimates.calc.assumptions import Assumptions
from shop.estimates.calc.records import PastBuild, StageFigures
from shop.hours.queries.sums import kept_as_written, read_stages, seconds_by_stage
from shop.models import (
    FINISHED_STATES,
    Build,
    BuildHours,
    BuildState,
    BuildTemplate,
    EstimateSettings,
    StageAlias,
    TemplateStage,
    TimeShare,
)
from shop.patterns.queries import on_by_default

SECONDS_AN_HOUR = 3600
NEVER = date.max
USUAL_LOW = Decimal("0.5")
"""Part of the likely hours that stands in for low hours of 0."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Hours:
    """Hours of one build: by stage key, set aside or not, and what fits no stage."""

    by_stage: dict[str, float]
    set_aside: frozenset[str]
    elsewhere: float
    build_stages: dict[str, tuple[int, ...]]


class _Row(NamedTuple):
    """A build that was not cancelled, its options as they are written."""

    pk: int
    template: int
    batch: int | None
    is_finished: bool
    started_on: date | None
    made_on: date
    finished_on: date | None
    closed_on: date | None
    is_set_aside: bool
    options: str

    @property
    def begin(self) -> date:
        return min(self.started_on or self.made_on, self.end or NEVER)

    @property
    def end(self) -> date | None:
        return self.finished_on or self.closed_on


@dataclass(frozen=True, kw_only=True)
class _Books:
    """The rows behind a record, as they are written: nothing of them is laid out yet.

    kept: build → its hours by stage, as text. sums: the same of builds of which none are kept,
    added up. names: what stages are called → the stage's key. related: template → how its builds
    count, and how many were made before the books. sizes: batch → its builds.
    """

    builds: tuple[_Row, ...]
    kept: Mapping[int, str]
    sums: Mapping[int, Any]
    names: Mapping[str, int]
    related: Mapping[int, tuple[float, float, int]]
    sizes: Mapping[int | None, int]


@dataclass(frozen=True, kw_only=True)
class PastBuilds:
    """What the books say of a template.

    stages: those that have likely hours; `without_hours` those that have none and can't be
    estimated. on_by_default: names of options that are on as a rule. figures: of each stage, by
    its key. What years of builds come to is laid out when it is asked for: where an answer is
    kept already, its `mark` is all that anybody needs.
    """

    template: BuildTemplate
    stages: tuple[TemplateStage, ...]
    without_hours: tuple[TemplateStage, ...]
    on_by_default: frozenset[str]
    figures: Mapping[str, StageFigures]
    assumptions: Assumptions
    books: _Books

    def stages_with(self, options: Collection[str]) -> list[TemplateStage]:
        """Return the stages that a build with `options` goes through."""
        return [one for one in self.stages if one.option is None or one.option.name in options]

    @property
    def own_builds(self) -> list[PastBuild]:
        """Builds of this very template."""
        return [build for build in self.builds if not build.related]

    @property
    def made(self) -> int:
        """Builds of this pattern begun so far, those before the books among them."""
        own = sum(build.template == self.template.pk for build in self.books.builds)
        return self.template.made_before + own

    @cached_property
    def builds(self) -> tuple[PastBuild, ...]:
        """The finished ones, the earliest begun first."""
        books = self.books
        made_before = {pattern: before for pattern, (_, _, before) in books.related.items()}
        in_order = sorted(books.builds, key=lambda build: (build.begin, build.pk))
        numbers = _numbers(in_order, made_before | {self.template.pk: self.template.made_before})
        return tuple(
            _past(
                build,
                self._hours.get(build.pk),
                books.sizes.get(build.batch, 1),
                numbers[build.pk],
                books.related.get(build.template),
            )
            for build in in_order
            if build.is_finished and build.end
        )

    @cached_property
    def rows(self) -> Mapping[str, Build]:
        """Key → the build itself, in one query."""
        finished = Build.objects.filter(
            template__in=[self.template.pk, *self.books.related], state__in=FINISHED_STATES
        )
        return {f"{build.pk}": build for build in finished.defer("specification_rows")}

    @cached_property
    def elsewhere(self) -> Mapping[str, float]:
        """Key → hours of that build that belong to no stage of the template."""
        return {f"{pk}": one.elsewhere for pk, one in self._hours.items() if one.elsewhere}

    @cached_property
    def build_stages(self) -> Mapping[str, Mapping[str, tuple[int, ...]]]:
        """Build's key → stage's key → its own stages behind those hours."""
        return {f"{pk}": one.build_stages for pk, one in self._hours.items()}

    @cached_property
    def mark(self) -> str:
        """A text that is another one as soon as anything differs that figures are made from."""
        mark = hashlib.sha256()
        books, own = self.books, self.template
        settled = (own.pk, own.made_before, sorted(self.on_by_default), self.assumptions)
        others = (sorted(books.names.items()), books.related, books.sizes, books.sums)
        keys = [one.pk for one in (*self.stages, *self.without_hours)]
        for part in (*settled, *others, keys, *self.figures.values(), books.builds):
            mark.update(repr(part).encode())
        for pk, hours in books.kept.items():
            mark.update(f"{pk} {hours}".encode())
        return mark.hexdigest()

    @cached_property
    def _hours(self) -> dict[int, _Hours]:
        books = self.books
        sums = {**read_stages(books.kept), **books.sums}
        own = {stage.pk: f"{stage.pk}" for stage in (*self.stages, *self.without_hours)}
        return {pk: _hours_of_one(rows, books.names, own) for pk, rows in sums.items()}


def record_of(template: BuildTemplate) -> PastBuilds:
    """Read everything that estimates of `template` are made from, in nine queries."""
    stages = list(template.stages.select_related("option"))
    options = on_by_default(template.options.all())
    return PastBuilds(
        template=template,
        stages=tuple(stage for stage in stages if stage.hours_likely > 0),
        without_hours=tuple(stage for stage in stages if stage.hours_likely <= 0),
        on_by_default=frozenset(options),
        figures={f"{one.pk}": figures_of(one) for one in stages if one.hours_likely > 0},
        assumptions=assumptions_now(),
        books=_books_of(template, stages),
    )


def _books_of(template: BuildTemplate, stages: Iterable[TemplateStage]) -> _Books:
    related = {
        one.related_id: (float(one.weight), float(one.factor), one.related.made_before)
        for one in template.related_templates.select_related("related").order_by("related")
    }
    templates = [template.pk, *related]
    kept = BuildHours.objects.filter(build__template__in=templates)
    return _Books(
        builds=tuple(_rows(templates)),
        kept=kept_as_written(kept),
        sums=seconds_by_stage(
            TimeShare.objects.filter(
                build__template__in=templates,
                build__state__in=FINISHED_STATES,
                build__kept_hours__isnull=True,
            )
        ),
        names=_names(template, stages),
        related=related,
        sizes=_batch_sizes(templates),
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


def _rows(templates: Collection[int]) -> Iterator[_Row]:
    rows = Build.objects.filter(template__in=templates).exclude(state=BuildState.CANCELLED)
    dates = ("started_on", "made_on", "finished_on", "closed_on")
    for pk, template, batch, state, *others in rows.order_by("pk").values_list(
        "pk", "template", "batch", "state", *dates, "is_set_aside", Cast("options", TextField())
    ):
        yield _Row(pk, template, batch, state in FINISHED_STATES, *others)


def _batch_sizes(templates: Collection[int]) -> dict[int | None, int]:
    """Return batch → its builds, those of other templates among them, cancelled ones not."""
    batches = Build.objects.filter(template__in=templates, batch__isnull=False).values("batch")
    counted = Build.objects.filter(batch__in=batches).exclude(state=BuildState.CANCELLED)
    return dict(counted.order_by("batch").values_list("batch").annotate(size=Count("pk")))


def _numbers(builds: Iterable[_Row], made_before: Mapping[int, int]) -> dict[int, int]:
    """Return build → its number in its pattern; builds of one batch share that of the first."""
    numbers: dict[int, int] = {}
    by_pattern = sorted(builds, key=lambda build: build.template)
    for pattern, group in groupby(by_pattern, key=lambda build: build.template):
        of_batch: dict[int, int] = {}
        for place, build in enumerate(group, start=1 + made_before[pattern]):
            numbers[build.pk] = of_batch.setdefault(build.batch or -build.pk, place)
    return numbers


def _names(template: BuildTemplate, stages: Iterable[TemplateStage]) -> dict[str, int]:
    """Return what stages are called here and in the maker's old sheets → the stage's key."""
    aliases = template.stage_aliases.filter(use=StageAlias.Use.STAGE, stage__isnull=False)
    known = {written: key for written, key in aliases.values_list("written", "stage") if key}
    return known | {stage.name.casefold(): stage.pk for stage in stages}


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
    build: _Row,
    hours: _Hours | None,
    batch: int,
    number: int,
    related: tuple[float, float, int] | None,
) -> PastBuild:
    weight, factor, _ = related or (1.0, 1.0, 0)
    return PastBuild(
        key=f"{build.pk}",
        started=build.begin,
        finished=build.end or NEVER,
        hours=hours.by_stage if hours else {},
        batch=batch,
        number=number,
        options=frozenset(json.loads(build.options)),
        weight=weight,
        factor=factor,
        related=related is not None,
        set_aside=build.is_set_aside,
        stages_set_aside=hours.set_aside if hours else frozenset(),
    )
