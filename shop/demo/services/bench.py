"""Fill the demo workshop's bench: builds under way, their hours, draws and notes."""

import tomllib
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.utils import timezone

from inventory.base.calc.units import to_base
from shop.builds.services.edit import add_build_note, record_lost_days
from shop.builds.services.enter import begin_build
from shop.builds.services.stock import draw_for_build, reserve_for_build, scrap_for_build
from shop.demo import DEMO
from shop.demo.pictures import a_drawing
from shop.hours.queries.catch_up import work_on
from shop.hours.services.entries import log_hours
from shop.models import Batch, Build, BuildTemplate
from shop.stages.services import finish_stage, start_stage

Row = dict[str, Any]


@transaction.atomic
def fill_demo_bench(*, person: Any, now: datetime) -> list[Build]:
    """Return the builds under way, worked on in the weeks before `now` by `person`."""
    data = tomllib.loads((DEMO / "bench.toml").read_text(), parse_float=Decimal)
    by_age = sorted(data["builds"], key=lambda row: -row["begun"])
    builds = {row["key"]: _begin(row, now) for row in by_age}
    for days_ago, name, line, quantity, lost in data["draws"]["rows"]:
        _draw(builds[name], line, Decimal(quantity), lost, now - timedelta(days=days_ago))
    for row in data["builds"]:
        _work_through(builds[row["key"]], row, now)
    for work in data["work"]["rows"]:
        _log(builds, work, person, now)
    for work in data["made_again"]["rows"]:
        _log(builds, work, person, now, is_remake=True)
    for days_ago, name, days, reason, note in data["lost"]["rows"]:
        on = timezone.localtime(now).date() - timedelta(days=days_ago)
        record_lost_days(build=builds[name], days=days, reason=reason, on=on, note=note)
    for row in data["notes"]:
        _note(builds[row["build"]], row, person, now)
    return list(builds.values())


def _begin(row: Row, now: datetime) -> Build:
    began = now - timedelta(days=row["begun"])
    build = begin_build(
        template=BuildTemplate.objects.get(name=row["template"]),
        title=row["title"],
        specification=row.get("specification", ""),
        batch=Batch.objects.get_or_create(name=row["batch"])[0] if "batch" in row else None,
        made_on=began.date(),
        promised_on=now.date() + timedelta(days=row["promised_in"]),
        now=began,
    )
    reserve_for_build(build=build, now=began)
    return build


def _draw(build: Build, line_name: str, quantity: Decimal, lost: str, then: datetime) -> None:
    line = build.lines.select_related("material").get(name=line_name)
    if line.material is None:
        return
    base = to_base(quantity, line.material.unit)
    draws = draw_for_build(build=build, line=line, quantity=base, now=then)
    if lost:
        scrap_for_build(build=build, draw=draws[0], quantity=base, why=lost, now=then)


def _work_through(build: Build, row: Row, now: datetime) -> None:
    """Finish the stages that are done, spread over the time since it began; start the next."""
    began = now - timedelta(days=row["begun"])
    step = timedelta(days=row["begun"]) / (len(row["done"]) + 2)
    stages = {stage.name: stage for stage in build.stages.select_related("build")}
    for number, name in enumerate(row["done"]):
        start_stage(stage=stages[name], now=began + number * step)
        finish_stage(stage=stages[name], now=began + (number + 1) * step)
    for name in row["under_way"]:
        start_stage(stage=stages[name], now=now - step)


def _log(
    builds: dict[str, Build], row: list[Any], person: Any, now: datetime, *, is_remake: bool = False
) -> None:
    days_ago, start, minutes, names, stage, reason = row
    began = _moment(now, days_ago, start)
    log_hours(
        person=person,
        day=timezone.localtime(began).date(),
        minutes=minutes,
        started_at=began,
        work=work_on([builds[name] for name in names], stage),
        is_billable=not reason,
        reason=reason,
        is_remake=is_remake,
        now=began + timedelta(minutes=minutes),
    )


def _note(build: Build, row: Row, person: Any, now: datetime) -> None:
    add_build_note(
        build=build,
        text=row["text"],
        photo=a_drawing(row["picture"]) if "picture" in row else None,
        stage=build.stages.get(name=row["stage"]),
        now=now - timedelta(days=row["days_ago"]),
        user=person,
    )


def _moment(now: datetime, days_ago: int, start: str) -> datetime:
    """Return the instant of a clock time in the shop, some days before `now`."""
    day: date = timezone.localtime(now).date() - timedelta(days=days_ago)
    return timezone.make_aware(datetime.combine(day, time.fromisoformat(start)))
