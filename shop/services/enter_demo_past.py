"""Enter the demo workshop's past builds with the hours of their stages."""

import tomllib
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any

from django.db import transaction

from shop.demo import DEMO
from shop.models import Batch, Build, BuildNote, BuildStage, BuildTemplate, TimeEntry
from shop.services.begin_build import begin_build
from shop.services.close_build import close_build
from shop.services.finish_build import finish_build
from shop.services.finish_stage import finish_stage
from shop.services.log_hours import log_hours
from shop.services.start_stage import start_stage
from shop.sharing import Work


@transaction.atomic
def enter_demo_past(*, person: Any, now: datetime) -> list[Build]:
    """Return the closed builds, each stage with the hours `person` worked on it."""
    data = tomllib.loads((DEMO / "past-builds.toml").read_text(), parse_float=Decimal)
    return [_past_build(row, person, now) for row in data["builds"]]


def _past_build(row: dict[str, Any], person: Any, now: datetime) -> Build:
    began, ended = (now - timedelta(days=row[name]) for name in ("started", "finished"))
    build = begin_build(
        template=BuildTemplate.objects.get(name=row["template"]),
        title=row["title"],
        made_on=began.date(),
        now=began,
        batch=Batch.objects.get_or_create(name=row["batch"])[0] if "batch" in row else None,
        with_lines=False,
    )
    stages = list(build.stages.select_related("build"))
    step = (ended - began) / len(stages)
    for number, (stage, hours) in enumerate(zip(stages, row["hours"], strict=True)):
        _past_stage(stage, Decimal(hours), person, began + number * step, step)
    if "set_aside" in row:
        build.stages.filter(name=row["set_aside"]).update(is_set_aside=True)
        BuildNote.objects.create(build=build, text=row["note"], made_at=ended, made_by=person)
    build.refresh_from_db()
    finish_build(build=build, now=ended)
    return close_build(build=build, now=ended)


def _past_stage(
    stage: BuildStage, hours: Decimal, person: Any, began: datetime, step: timedelta
) -> None:
    start_stage(stage=stage, now=began)
    log_hours(
        person=person,
        day=began.date(),
        minutes=int(hours * 60),
        work=[Work(build=stage.build, stage=stage)],
        source=TimeEntry.Source.SHEET,
        now=began,
    )
    finish_stage(stage=stage, now=began + step)
