"""Queues of a few builds of one pattern."""

from datetime import timedelta

from shop.models import TemplateStage
from tests.shop.factories import (
    TODAY,
    make_build,
    make_template,
    make_template_stage,
    planned_stage,
)

STAGES = (
    ("Carve top and back", "20", 3),
    ("Bend ribs", "6", 2),
    ("Close the box", "3", 2),
    ("Neck", "10", 1),
    ("Finish", "7", 14),
    ("Set up", "5", 3),
)


def make_pattern(name="Carved mandolin"):
    template = make_template(name)
    for stage, hours, wait in STAGES:
        low, high = f"{float(hours) * 0.7:.2f}", f"{float(hours) * 1.5:.2f}"
        make_template_stage(template, stage, hours=(low, hours, high), waiting_days=wait)
    return template


def queue_build(template, title="Mandolin", days_ago=10, **fields):
    stages = [
        planned_stage(
            one.name, f"{one.hours_likely}", waiting_days=one.waiting_days, template_stage=one
        )
        for one in TemplateStage.objects.filter(template=template)
    ]
    fields.setdefault("made_on", TODAY - timedelta(days=days_ago))
    return make_build(title, stages=stages, template=template, **fields)
