"""Valid rows of the workshop by plain functions."""

from datetime import UTC, date, datetime
from decimal import Decimal
from itertools import count

from shop.builds.services.enter import PlannedLine, PlannedStage, enter_build
from shop.models import BuildLine, BuildTemplate, TemplateLine, TemplateStage
from tests.factories import make_family

NOW = datetime(2027, 3, 9, 9, 0, tzinfo=UTC)
TODAY = date(2027, 3, 9)
_serial = count(1)


def make_template(name="", **fields):
    return BuildTemplate.objects.create(name=name or f"pattern {next(_serial)}", **fields)


def make_template_stage(template, name="", hours=("1", "2", "4"), **fields):
    low, likely, high = (Decimal(each) for each in hours)
    return TemplateStage.objects.create(
        template=template,
        position=fields.pop("position", next(_serial)),
        name=name or f"stage {next(_serial)}",
        hours_low=low,
        hours_likely=likely,
        hours_high=high,
        **fields,
    )


def make_template_line(template, name="", **fields):
    fields.setdefault("family", None)
    fields["family"] = fields["family"] or make_family()
    fields.setdefault("quantity", Decimal(1))
    fields.setdefault("unit", "ea")
    return TemplateLine.objects.create(
        template=template,
        position=fields.pop("position", next(_serial)),
        name=name or f"line {next(_serial)}",
        **fields,
    )


def planned_stage(name="Carve neck", hours="3", **fields):
    return PlannedStage(name=name, hours=Decimal(hours), **fields)


def planned_line(material, quantity="1", cost="10.00", **fields):
    fields.setdefault("name", material.name)
    fields.setdefault("to_draw", Decimal(quantity))
    return PlannedLine(
        material=material,
        family=material.family,
        quantity=Decimal(quantity),
        planned_cost=Decimal(cost),
        **fields,
    )


def make_build(title="Carved mandolin", stages=None, lines=(), **fields):
    fields.setdefault("template", None)
    fields.setdefault("made_on", TODAY)
    fields.setdefault("promised_on", None)
    fields.setdefault("now", NOW)
    return enter_build(
        title=title,
        stages=[planned_stage()] if stages is None else stages,
        lines=lines,
        **fields,
    )


def make_build_line(build, name="bridge", **fields):
    """A line of a build that names no material unless told otherwise."""
    fields.setdefault("position", next(_serial))
    fields.setdefault("quantity", Decimal(1))
    fields.setdefault("to_draw", fields["quantity"])
    return BuildLine.objects.create(build=build, name=name, **fields)
