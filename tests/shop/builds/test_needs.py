from decimal import Decimal

import pytest

from inventory.ledger.services.incoming import NewLine
from inventory.models import KeptAs
from inventory.purchasing.services.deliveries import receive_delivery
from shop.builds.queries.needs import needs_of
from shop.builds.services.stock import draw_for_build
from tests.factories import make_material
from tests.shop.factories import NOW, TODAY, make_build, planned_line

pytestmark = pytest.mark.django_db


@pytest.fixture
def binding(workshop):
    return stocked("Binding", KeptAs.LENGTH, 5000)


def stocked(name, kept_as, quantity):
    material = make_material(name, kept_as)
    line = NewLine(material=material, quantity=Decimal(quantity), price=Decimal("20.00"))
    receive_delivery(received_on=TODAY, lines=[line], now=NOW)
    return material


def need_after_drawing(build, material, quantity):
    line = build.lines.get()
    draw_for_build(build=build, line=line, material=material, quantity=Decimal(quantity), now=NOW)
    return needs_of([build])[0]


def test_a_substitute_in_the_same_unit_meets_the_need(binding):
    build = make_build(lines=[planned_line(binding, "1000")])
    need = need_after_drawing(build, stocked("Another binding", KeptAs.LENGTH, 5000), 400)
    assert (need.used, need.still_needed, need.in_other_units) == (400, 600, False)


def test_a_substitute_in_other_units_adds_its_cost_and_no_quantity(binding):
    build = make_build(lines=[planned_line(binding, "1000")])
    need = need_after_drawing(build, stocked("Binding strips", KeptAs.COUNT, 10), 2)
    assert (need.used, need.still_needed, need.in_other_units) == (0, 1000, True)
    assert need.used_cost == Decimal("4.00")
