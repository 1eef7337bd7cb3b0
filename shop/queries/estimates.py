"""Hours of a build to come: from a template's figures and what past builds really took."""

from collections.abc import Collection
from datetime import date
from decimal import Decimal
from typing import TYPE_CHECKING

from inventory.calc.money import round_money
from inventory.refusals import Refusal
from shop.calc.estimates.records import Estimate, Wanted
from shop.models import BuildTemplate
from shop.queries.past_builds import Record, record_of

if TYPE_CHECKING:
    from shop.calc.estimates.backtest import Backtest

STEP = Decimal("0.1")
"""Hours of a quote are whole tenths."""


def estimate_for(
    template: BuildTemplate,
    *,
    on: date,
    batch: int = 1,
    options: Collection[str] | None = None,
) -> Estimate:
    """Estimate the hours of the next build of `template` as of the day `on`, in eight queries.

    batch: builds made side by side. options: names of those that are on; without them the
    template's own. Keys of stages are those of its stages as text. Raises Refusal when no stage
    has likely hours.
    """
    return estimate_from(record_of(template), on=on, batch=batch, options=options)


def estimate_from(
    record: Record, *, on: date, batch: int = 1, options: Collection[str] | None = None
) -> Estimate:
    """Estimate from a record that is at hand; see `estimate_for`."""
    from shop.calc.estimates.estimate import estimate_hours

    chosen = record.on_by_default if options is None else frozenset(options)
    stages = record.stages_with(chosen)
    if not stages:
        raise Refusal(
            f"{record.template} has no stage with likely hours. Give its stages hours first."
        )
    return estimate_hours(
        [record.figures[f"{stage.pk}"] for stage in stages],
        record.builds,
        Wanted(on=on, batch=batch, number=record.made + 1, options=chosen),
        record.assumptions,
    )


def backtest_from(record: Record) -> "Backtest":
    """Estimate every past build of a record from those before it, and score what was said.

    Raises Refusal when no stage has likely hours.
    """
    from shop.calc.estimates.backtest import backtest

    if not record.stages:
        raise Refusal(
            f"{record.template} has no stage with likely hours. Give its stages hours first."
        )
    return backtest(list(record.figures.values()), record.builds, record.assumptions)


def hours_at_level(
    template: BuildTemplate,
    *,
    on: date,
    level: str,
    batch: int = 1,
    options: Collection[str] | None = None,
) -> dict[int, Decimal]:
    """Return template stage → hours for a quote at a level of `shop.calc.estimates.quoting`.

    Stages that are on add up to the total's own figure at that level. A stage that `options`
    leave off has its figure too, for the day it is switched on. Raises Refusal for a level that
    is not one.
    """
    from shop.calc.estimates.quoting import LEVELS, hours_at, quote_hours

    if level not in LEVELS:
        raise Refusal(f"“{level}” is no level of an estimate. Use {', '.join(LEVELS)}.")
    record = record_of(template)
    every = {stage.option.name for stage in record.stages if stage.option}
    chosen = record.on_by_default if options is None else set(options)
    found: dict[str, Decimal] = {}
    if every - chosen:
        whole = estimate_from(record, on=on, batch=batch, options=every | chosen)
        for stage in whole.stages:
            found[stage.key] = round_money(Decimal(hours_at(stage.hours, level)), STEP)
    found |= quote_hours(estimate_from(record, on=on, batch=batch, options=chosen), level, STEP)
    return {int(key): hours for key, hours in found.items()}
