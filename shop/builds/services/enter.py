"""Enter a build: from a quote, from its template, or extended by an agreed change."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.db import transaction
from django.db.models import F, Max

from inventory.base.calc.money import round_money
from inventory.base.calc.units import round_quantity
from inventory.base.queries import home_minor_unit
from inventory.base.refusals import Refusal
from inventory.models import Family, Material, Workshop
from shop.builds.bookkeeping import book_promise
from shop.builds.queries.builds import next_serial
from shop.builds.services.stock import reserve_for_build
from shop.models import (
    Batch,
    Build,
    BuildLine,
    BuildStage,
    BuildTemplate,
    TemplateLine,
    TemplateStage,
)
from shop.patterns.calc import SpecRow, with_replaced
from shop.patterns.queries import LinePlan, need_of_template_line, plan_of
from shop.stages.locking import locked_build


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedStage:
    """A stage as it was accepted: hours of hands-on work, then days of waiting."""

    name: str
    hours: Decimal
    hours_low: Decimal = Decimal(0)
    hours_high: Decimal = Decimal(0)
    waiting_days: Decimal = Decimal(0)
    template_stage: TemplateStage | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedLine:
    """A material as it was accepted: quantities in base units, cost in home money.

    `quantity` ends up in the instrument, `to_draw` is put aside for it, waste included.
    """

    name: str
    quantity: Decimal
    to_draw: Decimal
    planned_cost: Decimal
    family: Family | None = None
    material: Material | None = None
    template_line: TemplateLine | None = None


@transaction.atomic
def enter_build(
    *,
    title: str,
    template: BuildTemplate | None,
    specification: str = "",
    rows: Sequence[SpecRow] = (),
    options: Sequence[str] = (),
    stages: Sequence[PlannedStage] = (),
    lines: Sequence[PlannedLine] = (),
    made_on: date,
    promised_on: date | None,
    now: datetime,
    serial: str = "",
    batch: Batch | None = None,
    because: str = "",
) -> Build:
    """Return a new planned build; stages and lines are numbered from 1 in the order given.

    A line goes with the stage that its template line names. Without `serial` the next free one of
    the year is given. because: what the promised date comes from, such as the accepted quote.
    Raises Refusal when the serial number is taken.
    """
    Workshop.objects.select_for_update().filter(pk=1).first()
    if serial and Build.objects.filter(serial=serial).exists():
        raise Refusal(f"Serial number {serial} is taken. Enter another.", field="serial")
    build = Build.objects.create(
        serial=serial or next_serial(made_on),
        title=title,
        template=template,
        batch=batch,
        specification=specification,
        specification_rows=[row.as_data() for row in rows],
        options=list(options),
        made_on=made_on,
    )
    if promised_on:
        book_promise(build=build, day=promised_on, now=now, reason=because)
    _add_stages(build, stages)
    _add_lines(build, lines)
    return build


def _add_stages(build: Build, stages: Iterable[PlannedStage]) -> None:
    BuildStage.objects.bulk_create(
        BuildStage(
            build=build,
            position=position,
            name=stage.name,
            template_stage=stage.template_stage,
            hours_low=stage.hours_low,
            hours_planned=stage.hours,
            hours_high=stage.hours_high,
            waiting_days=stage.waiting_days,
        )
        for position, stage in enumerate(stages, start=1)
    )


def _add_lines(build: Build, lines: Iterable[PlannedLine]) -> None:
    stage_of = {stage.template_stage_id: stage for stage in build.stages.all()}
    BuildLine.objects.bulk_create(
        BuildLine(
            build=build,
            position=position,
            name=line.name,
            template_line=line.template_line,
            stage=stage_of.get(line.template_line.stage_id)
            if line.template_line and line.template_line.stage_id
            else None,
            family=line.family,
            material=line.material,
            quantity=line.quantity,
            to_draw=line.to_draw,
            planned_cost=line.planned_cost,
        )
        for position, line in enumerate(lines, start=1)
    )


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

    Without `options` those count that the template has on. Reserves nothing.
    """
    plan = plan_of(template, options)
    minor_unit = home_minor_unit()
    return enter_build(
        title=title,
        template=template,
        specification=specification,
        rows=_usual_rows(template, plan.options),
        options=sorted(plan.options),
        stages=[_stage(stage) for stage in plan.stages_on],
        lines=[_line(one, minor_unit) for one in plan.lines if one.is_on and with_lines],
        made_on=made_on,
        promised_on=promised_on,
        now=now,
        serial=serial,
        batch=batch,
    )


def _usual_rows(template: BuildTemplate, options: Collection[str]) -> tuple[SpecRow, ...]:
    """Return the rows that have a usual value; those of options that are on stand in for others."""
    specs = list(template.specs.select_related("option"))
    usual, special = (
        [
            SpecRow(name=spec.name, value=spec.value, unit=spec.unit)
            for spec in specs
            if (spec.option.name if spec.option else "") in wanted
        ]
        for wanted in ({""}, set(options))
    )
    return with_replaced(usual, special)


def _stage(stage: TemplateStage) -> PlannedStage:
    return PlannedStage(
        name=stage.name,
        hours=stage.hours_likely,
        hours_low=stage.hours_low,
        hours_high=stage.hours_high,
        waiting_days=stage.waiting_days,
        template_stage=stage,
    )


def _line(one: LinePlan, minor_unit: Decimal) -> PlannedLine:
    """Plan one line; where its waste rule can't be used, what goes in is what is drawn."""
    net = need_of_template_line(one.line).net_base
    return PlannedLine(
        name=one.line.name,
        quantity=round_quantity(net),
        to_draw=round_quantity(one.draw.drawn if one.draw else net),
        planned_cost=round_money(one.cost, minor_unit),
        family=one.line.family,
        material=one.line.material,
        template_line=one.line,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class MoreMaterial:
    """More of a material, in its base unit, at what it was planned to cost."""

    material: Material
    quantity: Decimal
    cost: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Extension:
    """What was added: no stage without hours, and one line for each material."""

    stage: BuildStage | None
    lines: tuple[BuildLine, ...]


@transaction.atomic
def extend_build(
    *,
    build: Build,
    name: str,
    now: datetime,
    hours: Decimal = Decimal(0),
    before: BuildStage | None = None,
    materials: Sequence[MoreMaterial] = (),
    days: int = 0,
) -> Extension:
    """Return the stage `name` and the lines that were added; the promised day moves by `days`.

    The stage stands before the one named, else last. The materials are put aside as far as the
    shelf goes. A build that is finished or cancelled only has its day moved.
    """
    locked = locked_build(build)
    if locked.promised_on and days:
        day = locked.promised_on + timedelta(days=days)
        book_promise(build=locked, day=day, now=now, reason=name, told_how="change order")
    # What is agreed after the instrument is done is money and a day, not work.
    if not locked.is_open:
        return Extension(stage=None, lines=())
    stage = _add_stage(locked, name, hours, before) if hours > 0 else None
    lines = tuple(_add_line(locked, stage, more) for more in materials)
    if lines:
        reserve_for_build(build=locked, now=now)
    return Extension(stage=stage, lines=lines)


def _add_stage(build: Build, name: str, hours: Decimal, before: BuildStage | None) -> BuildStage:
    stages = build.stages.all()
    if before is not None and (place := stages.filter(pk=before.pk).first()):
        position = place.position
        stages.filter(position__gte=position).update(position=F("position") + 1)
    else:
        position = (stages.aggregate(last=Max("position"))["last"] or 0) + 1
    return build.stages.create(position=position, name=name[:120], hours_planned=hours)


def _add_line(build: Build, stage: BuildStage | None, more: MoreMaterial) -> BuildLine:
    last = build.lines.aggregate(last=Max("position"))["last"] or 0
    return build.lines.create(
        stage=stage,
        position=last + 1,
        name=more.material.name[:120],
        family=more.material.family,
        material=more.material,
        quantity=more.quantity,
        to_draw=more.quantity,
        planned_cost=more.cost,
    )
