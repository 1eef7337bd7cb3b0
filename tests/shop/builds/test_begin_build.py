from decimal import Decimal

import pytest

from shop.builds.services.enter import begin_build
from shop.models import WasteRule
from tests.factories import make_material
from tests.shop.factories import (
    NOW,
    TODAY,
    make_template,
    make_template_line,
    make_template_stage,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def template(workshop):
    row = make_template()
    scroll = row.options.create(name="Scroll")
    stage = make_template_stage(row, "Bend ribs", waiting_days=Decimal("1.5"))
    make_template_stage(row, "Carve the scroll", ("40", "55", "70"), option=scroll)
    binding = make_material("Binding", "length", unit="m", replacement_price=Decimal(4))
    make_template_line(
        row,
        "Binding",
        material=binding,
        quantity=Decimal("3.4"),
        unit="m",
        waste_rule=WasteRule.PERCENT,
        waste_rate=Decimal("0.15"),
        stage=stage,
    )
    make_template_line(row, "Scroll block", option=scroll, cost_likely=Decimal(9))
    return row


def begin(template, **given):
    return begin_build(template=template, title="For the fair", made_on=TODAY, now=NOW, **given)


def test_a_build_takes_hours_and_draws_from_its_template(template):
    build = begin(template)
    [stage] = build.stages.all()
    [line] = build.lines.all()
    assert (stage.hours_planned, stage.hours_high, stage.waiting_days) == (2, 4, Decimal("1.5"))
    assert (line.quantity, line.to_draw, line.planned_cost) == (3400, 3910, Decimal("15.64"))
    assert line.stage == stage


def test_options_switch_stages_and_materials_on(template):
    build = begin(template, options=["Scroll"])
    assert [stage.name for stage in build.stages.all()] == ["Bend ribs", "Carve the scroll"]
    assert [line.name for line in build.lines.all()] == ["Binding", "Scroll block"]
    assert build.options == ["Scroll"]


def test_a_material_kept_in_another_kind_of_unit_is_planned_by_its_seed_cost(template):
    line = template.lines.get(name="Binding")
    line.unit, line.cost_likely = "g", Decimal(14)
    line.save()
    planned = begin(template).lines.get()
    assert (planned.quantity, planned.to_draw, planned.planned_cost) == (
        Decimal("3.4"),
        Decimal("3.4"),
        14,
    )
