"""What is agreed after the order is added to the build: a stage, materials put aside, days."""

from datetime import timedelta
from decimal import Decimal

import pytest

from inventory.ledger.services.incoming import NewLine
from inventory.models import KeptAs
from inventory.purchasing.services.deliveries import receive_delivery
from shop.builds.queries.needs import needs_of
from shop.builds.services.enter import MoreMaterial, extend_build
from shop.models import Build, BuildState
from tests.factories import NOW, TODAY, make_material
from tests.shop.factories import make_build, planned_stage

pytestmark = pytest.mark.django_db


@pytest.fixture
def build(workshop):
    return make_build(
        stages=[planned_stage("Carve"), planned_stage("Finish"), planned_stage("Pack")],
        promised_on=TODAY,
    )


def names(build):
    return [stage.name for stage in build.stages.all()]


def test_hours_become_a_stage_before_the_one_named(build):
    finish = build.stages.get(name="Finish")
    added = extend_build(build=build, name="Pickup", hours=Decimal("2.5"), before=finish, now=NOW)
    assert names(build) == ["Carve", "Pickup", "Finish", "Pack"]
    assert added.stage.hours_planned == Decimal("2.5")


@pytest.mark.parametrize("hours", ["0", "-2"])
def test_without_hours_or_with_less_work_there_is_no_stage(build, hours):
    added = extend_build(build=build, name="Plain head", hours=Decimal(hours), now=NOW)
    assert (added.stage, names(build)) == (None, ["Carve", "Finish", "Pack"])


def test_a_stage_of_another_build_is_no_place(build, workshop):
    other = make_build(serial="2027-99").stages.first()
    extend_build(build=build, name="Pickup", hours=Decimal(1), before=other, now=NOW)
    assert names(build)[-1] == "Pickup"


def test_materials_are_put_aside_as_far_as_the_shelf_goes(build):
    pickup = make_material("Pickup", KeptAs.COUNT)
    line = NewLine(material=pickup, quantity=Decimal(1), price=Decimal(40))
    receive_delivery(received_on=TODAY, lines=[line], now=NOW)
    more = MoreMaterial(material=pickup, quantity=Decimal(2), cost=Decimal(80))
    added = extend_build(build=build, name="Pickups", hours=Decimal(1), materials=[more], now=NOW)
    [need] = needs_of([build])
    assert (need.line, need.promised, need.short) == (added.lines[0], 1, 1)
    assert (need.line.stage, need.line.planned_cost) == (added.stage, 80)


def test_days_move_the_promise(build):
    extend_build(build=build, name="Pickup", days=3, now=NOW)
    assert Build.objects.get().promised_on == TODAY + timedelta(days=3)


def test_a_finished_build_only_has_its_day_moved(build):
    Build.objects.update(state=BuildState.FINISHED)
    more = MoreMaterial(material=make_material("Pickup"), quantity=Decimal(1), cost=Decimal(0))
    added = extend_build(
        build=build, name="Pickup", hours=Decimal(1), materials=[more], days=1, now=NOW
    )
    assert (added.stage, added.lines) == (None, ())
    assert Build.objects.get().promised_on == TODAY + timedelta(days=1)
