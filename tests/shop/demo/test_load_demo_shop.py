from decimal import Decimal

import pytest
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command
from django.db.models import Sum

from inventory.base.calc.money import round_money
from inventory.base.roles import role_of
from inventory.models import Material, StockEntry, Workshop
from shop.builds.queries.needs import needs_of
from shop.demo.services.load import BY_THE_LIST, PASSWORD, load_demo_shop
from shop.desk.queries import today
from shop.models import Build, BuildState, BuildTemplate, LostDays, TimeEntry, TimeShare
from shop.patterns.queries import plan_of
from tests.factories import NOW

pytestmark = pytest.mark.django_db


@pytest.fixture
def demo(db):
    return load_demo_shop(now=NOW)


def test_the_demo_is_a_shop_at_work(demo):
    """One long look, since loading takes a second or two."""
    for name, role in (("posy", "owner"), ("bram", "maker")):
        person = User.objects.get(username=name)
        assert role_of(person) == role
        assert person.check_password(PASSWORD)
    check_past_builds()
    check_bench()
    check_balances()
    check_the_list()
    check_sizes()


def check_past_builds():
    closed = Build.objects.filter(state=BuildState.CLOSED)
    assert closed.count() == 15
    for build in closed:
        stages = set(build.stages.values_list("pk", flat=True))
        assert set(build.time_shares.values_list("stage", flat=True)) == stages
        assert not build.stages.filter(finished_at=None).exists()
    assert Build.objects.filter(stages__is_set_aside=True).distinct().count() == 1


def check_bench():
    seen = today(NOW)
    assert not seen.overdue
    assert seen.to_reconcile == 1
    assert seen.short_builds
    assert seen.on_the_bench
    needs = needs_of(Build.objects.filter(title__startswith="Carved bouzouki with slim"))
    assert sum(need.scrapped for need in needs) == 1
    assert TimeEntry.objects.get(is_remake=True).shares.get().stage.name.startswith("Bend ribs")
    assert sum(lost.days for lost in LostDays.objects.all()) == 14


def check_balances():
    for material in Material.objects.all():
        sums = material.entries.aggregate(Sum("quantity"), Sum("cost"))
        assert material.on_hand == (sums["quantity__sum"] or 0)
        assert material.book_cost == (sums["cost__sum"] or 0)
    assert StockEntry.objects.filter(to_reconcile=True).count() == 1
    for entry in TimeEntry.objects.filter(is_billable=True):
        assert entry.shares.aggregate(Sum("seconds"))["seconds__sum"] == entry.seconds
    assert TimeShare.objects.filter(seconds=0).count() == 0


def check_the_list():
    """Hours and materials of the first walk-through: 48.0 h, 560.80."""
    plan = plan_of(BuildTemplate.objects.get(name=BY_THE_LIST))
    assert plan.hours[1] == Decimal("48.0")
    lines = [round_money(line.cost) for line in plan.lines if line.is_on]
    assert sum(lines) == Decimal("560.80")
    assert [line.trouble for line in plan.lines if line.trouble] == []


def check_sizes():
    """A bouzouki has the sizes of a bouzouki: TRADE 3C gives 660 mm."""
    bouzoukis = BuildTemplate.objects.filter(name__icontains="bouzouki")
    scales = bouzoukis.filter(specs__name="Scale length").values_list("name", "specs__value")
    assert {name: value for name, value in scales if value != "660"} == {}
    assert scales
    settled = Build.objects.values_list("specification", "specification_rows")
    assert not [one for one in settled if "352" in str(one)]


def test_a_shop_that_is_open_is_left_alone(workshop):
    with pytest.raises(CommandError, match="already set up"):
        call_command("load_demo_shop")
    assert Workshop.objects.get().is_demo is False
