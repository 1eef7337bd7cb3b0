"""Two press "Draw all" for the same stage at once: it is drawn once."""

import threading
from decimal import Decimal

import pytest

from inventory.base.refusals import Refusal
from inventory.ledger.services.incoming import NewLine
from inventory.models import KeptAs, Workshop
from inventory.purchasing.services.deliveries import receive_delivery
from shop.builds.queries.needs import needs_of
from shop.builds.services import draw_stage as module
from shop.builds.services.draw_stage import draw_stage
from tests.factories import make_material
from tests.races.moments import at_the_same_moment
from tests.shop.factories import NOW, TODAY, make_build, planned_line

pytestmark = [pytest.mark.races, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def build():
    Workshop.objects.create(pk=1, name="Turnip Hollow", maker="Posy Thimblewick", currency="EUR")
    wire = make_material("Fretwire", KeptAs.LENGTH, unit="m")
    line = NewLine(material=wire, quantity=Decimal(3000), price=Decimal(12))
    receive_delivery(received_on=TODAY, lines=[line], now=NOW)
    return make_build(lines=[planned_line(wire, "930")])


def used(build):
    return [need.used for need in needs_of([build])]


def test_a_stage_is_drawn_once(build):
    act = lambda: draw_stage(build=build, stage=None, now=NOW)  # noqa: E731
    outcomes = at_the_same_moment([act, act])
    assert used(build) == [930], outcomes
    assert sum(isinstance(one, Refusal) for one in outcomes) == 1, outcomes


def test_without_the_locks_it_is_drawn_twice(build, monkeypatch):
    both_have_looked = threading.Barrier(2, timeout=30)
    looked = threading.local()

    def needs_then_wait(builds):
        needs = needs_of(builds)
        if not getattr(looked, "once", False):
            looked.once = True
            both_have_looked.wait()
        return needs

    monkeypatch.setattr(module, "needs_of", needs_then_wait)
    monkeypatch.setattr(module, "locked_build", lambda build: build)
    monkeypatch.setattr(module, "lock_for_build", lambda **_: None)
    act = lambda: draw_stage.__wrapped__(build=build, stage=None, now=NOW)  # noqa: E731
    outcomes = at_the_same_moment([act, act])
    assert used(build) == [1860], outcomes
