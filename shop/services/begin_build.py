"""Begin a build straight from its template, without a quote: for stock, a fair, or oneself."""

from collections.abc import Collection
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from inventory.calc.money import round_money
from inventory.calc.units import round_quantity
from inventory.money import home_unit
from shop.models import Batch, Build, BuildTemplate, TemplateStage
from shop.queries.templates import LinePlan, need_of, plan_of
from shop.services.enter_build import PlannedLine, PlannedStage, enter_build


@transaction.atomic
def begin_build(
    *,
    template: BuildTemplate,
    title: str,
    now: datetime,
    made_on: date,
    options: Collection[str] | None = None,
    promised_on: date | None = None,
    specification: str = "",
    serial: str = "",
    batch: Batch | None = None,
    with_lines: bool = True,
) -> Build:
    """Return a planned build with the likely hours of `template`, and its materials with waste.

    Without `options` those count that the template has on. Promises nothing: `put_aside` does.
    """
    plan = plan_of(template, options)
    unit = home_unit()
    return enter_build(
        title=title,
        template=template,
        specification=specification,
        options=sorted(plan.options),
        stages=[_stage(stage) for stage in plan.stages_on],
        lines=[_line(one, unit) for one in plan.lines if one.is_on and with_lines],
        made_on=made_on,
        promised_on=promised_on,
        now=now,
        serial=serial,
        batch=batch,
    )


def _stage(stage: TemplateStage) -> PlannedStage:
    return PlannedStage(
        name=stage.name,
        hours=stage.hours_likely,
        hours_low=stage.hours_low,
        hours_high=stage.hours_high,
        waiting_days=stage.waiting_days,
        template_stage=stage,
    )


def _line(one: LinePlan, unit: Decimal) -> PlannedLine:
    """Plan one line; where its waste rule can't be used, what goes in is what is drawn."""
    net = need_of(one.line).net_base
    return PlannedLine(
        name=one.line.name,
        quantity=round_quantity(net),
        to_draw=round_quantity(one.draw.drawn if one.draw else net),
        planned_cost=round_money(one.cost, unit),
        family=one.line.family,
        material=one.line.material,
        template_line=one.line,
    )
