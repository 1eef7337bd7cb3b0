"""All that a stage needs is drawn in one act, as far as the shelf goes."""

from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.base.refusals import Refusal
from inventory.ledger.services.incoming import NewLine
from inventory.models import KeptAs, StockEntry
from inventory.purchasing.services.deliveries import receive_delivery
from shop.builds.queries.needs import needs_of
from shop.builds.services import draw_stage as module
from shop.builds.services.draw_stage import draw_stage
from shop.builds.services.end import cancel_build
from shop.builds.services.stock import reserve_for_build
from tests.factories import make_material
from tests.shop.factories import NOW, TODAY, make_build, planned_line, planned_stage

pytestmark = pytest.mark.django_db


@pytest.fixture
def build(workshop):
    wire = make_material("Fretwire", KeptAs.LENGTH, unit="m")
    dots = make_material("Dots", KeptAs.COUNT, unit="ea")
    lines = [
        NewLine(material=wire, quantity=Decimal(3000), price=Decimal(12)),
        NewLine(material=dots, quantity=Decimal(4), price=Decimal(4)),
    ]
    receive_delivery(received_on=TODAY, lines=lines, now=NOW)
    build = make_build(
        "Carved bouzouki",
        stages=[planned_stage("Fret", "4"), planned_stage("Carve neck", "3")],
        lines=[planned_line(wire, "930"), planned_line(dots, "10"), planned_line(wire, "500")],
        promised_on=TODAY,
    )
    fret, carve = build.stages.all()
    first, second, third = build.lines.all()
    for line, stage in ((first, fret), (second, fret), (third, carve)):
        line.stage = stage
        line.save(update_fields=["stage"])
    reserve_for_build(build=build, now=NOW)
    return build


def test_a_stage_is_drawn_to_its_need_or_to_what_the_shelf_has(build):
    draws, left = draw_stage(build=build, stage=build.stages.first(), now=NOW)
    assert [draw.entry.quantity for draw in draws] == [-930, -4]
    assert [(need.line.name, need.still_needed) for need in left] == [("Dots", 6)]
    assert not StockEntry.objects.filter(to_reconcile=True).exists()
    assert [need.used for need in needs_of([build])] == [930, 4, 0]


def test_a_stage_that_is_drawn_already_is_refused(build):
    draw_stage(build=build, stage=build.stages.first(), now=NOW)
    with pytest.raises(Refusal, match="Nothing to draw for Fret"):
        draw_stage(build=build, stage=build.stages.first(), now=NOW)


def test_one_click_draws_a_stage_and_one_more_takes_it_back(desk, build):
    stage = build.stages.first()
    answer = desk.post(reverse("build_draw_stage", args=[build.pk]), {"stage": stage.pk})
    page = desk.get(answer["Location"])
    [told] = page.context["messages"]
    assert str(told) == "2 lines drawn for Fret. Still short: Dots."
    desk.post(told.extra_tags)
    assert [need.used for need in needs_of([build])] == [0, 0, 0]


def test_a_cancelled_build_draws_nothing(build):
    cancel_build(build=build, now=NOW)
    with pytest.raises(Refusal, match="is cancelled; nothing can be drawn for it"):
        draw_stage(build=build, stage=build.stages.first(), now=NOW)
    assert [need.used for need in needs_of([build])] == [0, 0, 0]


def test_needs_are_read_once_everything_is_locked(build, monkeypatch):
    told = []
    for name in ("locked_build", "lock_for_build", "needs_of"):
        monkeypatch.setattr(module, name, noting(told, name))
    draw_stage(build=build, stage=build.stages.first(), now=NOW)
    assert told[:3] == ["locked_build", "lock_for_build", "needs_of"]


def noting(told, name):
    act = getattr(module, name)

    def noted(*given, **named):
        told.append(name)
        return act(*given, **named)

    return noted
