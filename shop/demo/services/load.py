"""Load the shop side of the demo workshop: people, shelf, past builds, bench."""

import tomllib
from datetime import datetime, timedelta
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone

from inventory.models import Material, Workshop
from shop.access.services.people import add_person
from shop.builds.services.end import close_build, finish_build
from shop.builds.services.enter import begin_build
from shop.demo import DEMO
from shop.demo.services.bench import fill_demo_bench
from shop.demo.services.shelf import fill_demo_shelf
from shop.demo.services.stock import fill_demo_stock
from shop.desk.services import open_workshop
from shop.hours.queries.work import Work
from shop.hours.services.entries import log_hours
from shop.models import (
    Batch,
    Build,
    BuildNote,
    BuildStage,
    BuildTemplate,
    TemplateLine,
    TemplateOption,
    TimeEntry,
    WasteRule,
)
from shop.patterns.services.templates import copy_template
from shop.stages.services import finish_stage, start_stage

PASSWORD = "turnip-hollow"
TAX_NUMBER = "NL123456782B90"
"""Invented, with check digits that hold."""
BY_THE_LIST = "Solid electric bouzouki by the list"
CARVED = "Carved-top bouzouki"
BOUZOUKI_SIZES = {"Scale length": "660", "Nut width": "34"}
"""In mm; the shop's own, invented."""
COLOURS = {"Natural finish": (), "Sunburst": (2, 3, 6), "Aged cream": (1, 2, 3)}
"""Colour → hours on top of the plain finish: low, likely, high; invented."""
STRINGS = ("plain 0.010", "plain 0.014", "wound 0.024", "wound 0.036")


@transaction.atomic
def load_demo_shop(*, now: datetime) -> Workshop:
    """Return the open demo workshop; Posy (owner) and Bram (maker) sign in with `PASSWORD`.

    Raises Refusal when there is a workshop already.
    """
    workshop = open_workshop(
        name="Turnip Hollow",
        maker="Posy Thimblewick",
        username="posy",
        password=PASSWORD,
        currency="EUR",
        country="NL",
        time_zone="Europe/Amsterdam",
        tax_registered=True,
        tax_number=TAX_NUMBER,
        address="Turnip Hollow 7\nUpper Puddle",
        is_demo=True,
    )
    add_person(username="bram", password=PASSWORD, role="maker", first_name="Bram", now=now)
    posy = User.objects.get(username="posy")
    with timezone.override(ZoneInfo(workshop.time_zone)):
        _pattern_of_the_shop()
        _pattern_by_the_list()
        _colours()
        fill_demo_shelf(now=now)
        fill_demo_stock(now=now)
        _string_lines()
        enter_demo_past(person=posy, now=now)
        fill_demo_bench(person=posy, now=now)
    return workshop


def _pattern_of_the_shop() -> None:
    """Copy the carved top as the shop builds it, with a longer scale."""
    starter = BuildTemplate.objects.get(name="Carved-top mandolin")
    pattern = copy_template(template=starter, name=CARVED)
    pattern.description = "660 mm scale, 8 strings in 4 courses, from the carved-top mandolin."
    pattern.save(update_fields=["description"])
    for name, value in BOUZOUKI_SIZES.items():
        pattern.specs.filter(name=name).update(value=value)


def _pattern_by_the_list() -> None:
    """Copy the electric bouzouki so that each listed figure is the whole cost of its line."""
    starter = BuildTemplate.objects.get(name="Solid electric bouzouki")
    pattern = copy_template(template=starter, name=BY_THE_LIST)
    pattern.description = "The figure on each line is its whole cost, waste included."
    pattern.save(update_fields=["description"])
    pattern.lines.update(waste_rule=WasteRule.NONE, waste_rate=Decimal(0), spares=Decimal(0))
    pattern.lines.filter(name__startswith="String anchor plate").update(quantity=110, unit="mm")
    TemplateOption.objects.filter(template=pattern).exclude(name="Binding").delete()


def _colours() -> None:
    """Give the electric bouzouki a choice of colours, of which a client takes exactly one."""
    pattern = BuildTemplate.objects.get(name="Solid electric bouzouki")
    stain = pattern.stages.get(name="Sand, pore fill, stain")
    for name, hours in COLOURS.items():
        option = pattern.options.create(name=name, one_of="Colour", is_on=not hours)
        if hours:
            low, likely, high = (Decimal(each) for each in hours)
            pattern.stages.create(
                position=stain.position,
                name=f"{name}: spray and blend",
                hours_low=low,
                hours_likely=likely,
                hours_high=high,
                waiting_days=stain.waiting_days,
                waiting_for=stain.waiting_for,
                caution=pattern.stages.get(name="Apply finish").caution,
                option=option,
            )


def _string_lines() -> None:
    """Count the custom set by its strings, two of each, where the list is followed."""
    line = TemplateLine.objects.get(template__name=BY_THE_LIST, name__startswith="String set")
    for gauge in STRINGS:
        material = Material.objects.get(name=f"String, {gauge}")
        TemplateLine.objects.create(
            template=line.template,
            position=line.position,
            name=f"String, {gauge}",
            family=material.family,
            material=material,
            quantity=Decimal(2),
            unit="ea",
            stage=line.stage,
            cost_likely=2 * (material.replacement_price or Decimal(0)),
        )
    line.delete()


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
