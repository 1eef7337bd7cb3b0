from datetime import date
from decimal import Decimal

import pytest

from inventory.base.refusals import Refusal
from shop.builds.services.enter import PlannedLine
from shop.models import BuildState
from tests.shop.factories import (
    make_build,
    make_template,
    make_template_line,
    make_template_stage,
    planned_stage,
)

pytestmark = pytest.mark.django_db


def test_a_build_starts_planned_with_stages_in_order():
    build = make_build(stages=[planned_stage("Bend ribs", "6.5"), planned_stage("Close", "2.5")])
    assert build.state == BuildState.PLANNED
    assert [(s.position, s.name, s.hours_planned) for s in build.stages.all()] == [
        (1, "Bend ribs", Decimal("6.5")),
        (2, "Close", Decimal("2.5")),
    ]


def test_serial_numbers_count_within_the_year():
    serials = [make_build().serial, make_build().serial]
    serials.append(make_build(made_on=date(2028, 1, 2)).serial)
    assert serials == ["2027-01", "2027-02", "2028-01"]


def test_the_maker_may_give_a_serial_number_of_their_own():
    assert make_build(serial="No. 41").serial == "No. 41"
    assert make_build().serial == "2027-01"


def test_a_serial_number_is_given_once():
    make_build(serial="No. 41")
    with pytest.raises(Refusal, match=r"Serial number No\. 41 is taken"):
        make_build(serial="No. 41")


def test_a_line_goes_with_the_stage_of_its_template_line():
    template = make_template()
    stage = make_template_stage(template, "Fret and dress")
    fretwire = make_template_line(template, "Fretwire", stage=stage)
    label = make_template_line(template, "Label")
    build = make_build(
        template=template,
        stages=[planned_stage("Fret and dress", template_stage=stage)],
        lines=[
            PlannedLine(
                name=line.name,
                quantity=Decimal(1),
                to_draw=Decimal(1),
                planned_cost=Decimal("6.00"),
                template_line=line,
            )
            for line in (fretwire, label)
        ],
    )
    assert [(line.position, line.stage and line.stage.name) for line in build.lines.all()] == [
        (1, "Fret and dress"),
        (2, None),
    ]
