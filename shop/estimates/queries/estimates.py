"""Hours of a build to come: from a template's figures and what past builds really took."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING

from inventory.base.calc.money import round_money
from inventory.base.refusals import Refusal
from shop.estimates.calc.quoting import LEVELS, hours_at, quote_hours
from shop.estimates.calc.records import Estimate, EstimateRequest, StageEstimate
from shop.estimates.queries.kept import kept
from shop.estimates.queries.past_builds import PastBuilds, record_of
from shop.models import BuildTemplate

if TYPE_CHECKING:
    from shop.estimates.calc.backtest import Backtest

STEP = Decimal("0.1")
"""Hours of a quote are whole tenths."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StageLevels:
    """Hours of one stage for a quote, in whole tenths, by level of `LEVELS`.

    alone: the stage's own figures. shared: its part of the total's figure, which is less, since
    stages that are each enough in 80 of 100 builds are together enough far more often; empty
    when the stage is switched off. low, high: the middle 80 of 100 builds lie within. past:
    builds behind it.
    """

    alone: Mapping[str, Decimal]
    shared: Mapping[str, Decimal]
    low: Decimal
    high: Decimal
    past: int


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildLevels:
    """Hours of a build for a quote: by template stage, and in total by level.

    past: builds of the template that count; `few` are too few to go by.
    """

    stages: Mapping[int, StageLevels]
    totals: Mapping[str, Decimal]
    whose: str
    past: int
    few: bool


def estimate_for(
    template: BuildTemplate,
    *,
    on: date,
    batch: int = 1,
    options: Collection[str] | None = None,
) -> Estimate:
    """Estimate the hours of the next build of `template` as of the day `on`, in ten queries.

    batch: builds made side by side. options: names of those that are on; without them the
    template's own. Keys of stages are those of its stages as text. Raises Refusal when no stage
    has likely hours.
    """
    return estimate_from(record_of(template), on=on, batch=batch, options=options)


def estimate_from(
    record: PastBuilds, *, on: date, batch: int = 1, options: Collection[str] | None = None
) -> Estimate:
    """Estimate from a record that is at hand; see `estimate_for`.

    The answer is kept, without the past hours behind each stage.
    """
    asked = (on.isoformat(), batch, None if options is None else sorted(options))
    return kept(
        record,
        "estimate",
        asked,
        lambda: without_past(estimate_with_past(record, on=on, batch=batch, options=options)),
    )


def without_past(estimate: Estimate) -> Estimate:
    """Return the estimate without the past hours behind its stages."""
    return replace(estimate, stages=tuple(replace(one, figures=()) for one in estimate.stages))


def estimate_with_past(
    record: PastBuilds, *, on: date, batch: int = 1, options: Collection[str] | None = None
) -> Estimate:
    """Work out an estimate with all past hours behind each stage; see `estimate_for`."""
    from shop.estimates.calc.estimate import estimate_hours

    chosen = record.on_by_default if options is None else frozenset(options)
    stages = record.stages_with(chosen)
    if not stages:
        raise Refusal(
            f"{record.template} has no stage with likely hours. Enter hours for its stages first."
        )
    return estimate_hours(
        [record.figures[f"{stage.pk}"] for stage in stages],
        record.builds,
        EstimateRequest(on=on, batch=batch, number=record.made + 1, options=chosen),
        record.assumptions,
    )


def backtest_from(record: PastBuilds) -> "Backtest":
    """Estimate every past build of a record from those before it, and score what was said.

    Raises Refusal when no stage has likely hours.
    """
    from shop.estimates.calc.backtest import backtest

    if not record.stages:
        raise Refusal(
            f"{record.template} has no stage with likely hours. Enter hours for its stages first."
        )
    return kept(
        record,
        "back-test",
        "",
        lambda: backtest(list(record.figures.values()), record.builds, record.assumptions),
    )


def levels_for(
    template: BuildTemplate,
    *,
    on: date,
    batch: int = 1,
    options: Collection[str] | None = None,
) -> BuildLevels:
    """Return the hours of the next build of `template` at every level, in ten queries or eleven.

    A stage that `options` leave off has its own figures too, for the day it is switched on.
    Raises Refusal when no stage has likely hours.
    """
    record = record_of(template)
    every = {stage.option.name for stage in record.stages if stage.option}
    chosen = record.on_by_default if options is None else set(options)
    estimate = estimate_from(record, on=on, batch=batch, options=chosen)
    shared = {level: quote_hours(estimate, level, STEP) for level in LEVELS}
    stages = {int(one.key): _levels(one, shared) for one in estimate.stages}
    if every - chosen:
        whole = estimate_from(record, on=on, batch=batch, options=every | chosen)
        stages = {int(one.key): _levels(one, {}) for one in whole.stages} | stages
    return BuildLevels(
        stages=stages,
        totals={level: _rounded(hours_at(estimate.total, level)) for level in LEVELS},
        whose=estimate.whose,
        past=estimate.past_builds,
        few=estimate.few,
    )


def _levels(stage: StageEstimate, shared: Mapping[str, Mapping[str, Decimal]]) -> StageLevels:
    low, high = stage.hours.range_80
    return StageLevels(
        alone={level: _rounded(hours_at(stage.hours, level)) for level in LEVELS},
        shared={level: hours[stage.key] for level, hours in shared.items()},
        low=_rounded(low),
        high=_rounded(high),
        past=stage.past,
    )


def _rounded(hours: float) -> Decimal:
    return round_money(Decimal(hours), STEP)
