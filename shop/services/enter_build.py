"""Enter a build in the book: one instrument with a serial number, its stages and its needs."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from decimal import Decimal

from django.db import transaction

from inventory.models import Family, Material, Workshop
from inventory.refusals import Refusal
from shop.models import (
    Batch,
    Build,
    BuildLine,
    BuildStage,
    BuildTemplate,
    TemplateLine,
    TemplateStage,
)
from shop.queries.builds import next_serial


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
    options: Sequence[str] = (),
    stages: Sequence[PlannedStage] = (),
    lines: Sequence[PlannedLine] = (),
    made_on: date,
    promised_on: date | None,
    now: datetime,
    serial: str = "",
    batch: Batch | None = None,
) -> Build:
    """Return a new planned build; stages and lines are numbered from 1 in the order given.

    A line goes with the stage that its template line names. Without `serial` the next free one of
    the year is given. Raises Refusal when the serial number is taken.
    """
    Workshop.objects.select_for_update().filter(pk=1).first()
    if serial and Build.objects.filter(serial=serial).exists():
        raise Refusal(
            f"Serial number {serial} is taken. Give one that no instrument has.", field="serial"
        )
    build = Build.objects.create(
        serial=serial or next_serial(made_on),
        title=title,
        template=template,
        batch=batch,
        specification=specification,
        options=list(options),
        made_on=made_on,
        promised_on=promised_on,
    )
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
