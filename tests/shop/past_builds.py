"""Finished builds with their hours, by plain functions."""

from datetime import date, timedelta
from decimal import Decimal

from django.contrib.auth.models import User

from shop.models import Batch, Build, BuildState, TemplateStage, TimeEntry, TimeShare
from tests.shop.factories import NOW, make_template, make_template_stage

FIRST_DAY = date(2020, 1, 6)
STAGES = {"Carve top": ("9", "14", "22"), "Carve neck": ("2", "3", "5"), "Finish": ("4", "6", "9")}


def make_pattern(name="Carved mandolin", stages=STAGES, **fields):
    """A template with stages of the given low, likely and high hours."""
    template = make_template(name, **fields)
    for place, (stage, hours) in enumerate(stages.items(), start=1):
        make_template_stage(template, stage, hours, position=place)
    return template


def make_past_build(template, hours, serial="", finished=FIRST_DAY, days=60, **fields):
    """A closed build; `hours` maps names of stages to hours, by the template's stages or beside."""
    serial = serial or f"past-{Build.objects.count() + 1}"
    fields.setdefault("state", BuildState.CLOSED)
    stages_set_aside = fields.pop("stages_set_aside", ())
    build = Build.objects.create(
        serial=serial,
        title=fields.pop("title", serial),
        template=template,
        made_on=finished - timedelta(days=days),
        started_on=finished - timedelta(days=days),
        finished_on=finished,
        closed_on=finished,
        **fields,
    )
    known = {stage.name: stage for stage in TemplateStage.objects.filter(template=template)}
    for place, (name, spent) in enumerate(hours.items(), start=1):
        stage = build.stages.create(
            template_stage=known.get(name),
            position=place,
            name=name,
            hours_planned=Decimal(0),
            is_set_aside=name in stages_set_aside,
        )
        clock_hours(build, stage, spent, finished)
    return build


def clock_hours(build, stage, hours, day):
    """Time of one person on one stage of a build."""
    person = User.objects.get_or_create(username="bram")[0]
    seconds = round(float(hours) * 3600)
    entry = TimeEntry.objects.create(
        person=person, day=day, seconds=seconds, raw_seconds=seconds, recorded_at=NOW
    )
    TimeShare.objects.create(entry=entry, build=build, stage=stage, seconds=seconds)
    return entry


def make_past_builds(template, number, hours=(14, 3, 6), **fields):
    """`number` closed builds, one a quarter, each a little quicker than the one before."""
    names = list(TemplateStage.objects.filter(template=template).values_list("name", flat=True))
    return [
        make_past_build(
            template,
            {name: each * (1.1 - 0.01 * place) for name, each in zip(names, hours, strict=False)},
            finished=FIRST_DAY + timedelta(days=91 * place),
            **fields,
        )
        for place in range(number)
    ]


def make_batch(name="two at once"):
    return Batch.objects.create(name=name)
