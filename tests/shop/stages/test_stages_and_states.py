"""How a build goes from planned to closed."""

from datetime import date, timedelta

import pytest

from inventory.base.refusals import Refusal
from shop.builds.services.end import cancel_build, close_build, finish_build
from shop.models import BuildState
from shop.stages.services import finish_stage, reopen_stage, start_stage
from tests.shop.factories import NOW, TODAY, make_build, planned_stage

pytestmark = pytest.mark.django_db
LATER = NOW + timedelta(hours=5)


def test_the_first_stage_takes_the_build_under_way():
    build = make_build(stages=[planned_stage(), planned_stage("Fret and dress")])
    start_stage(stage=build.stages.first(), now=NOW)
    build.refresh_from_db()
    assert (build.state, build.started_on) == (BuildState.UNDER_WAY, TODAY)


def test_starting_twice_keeps_the_first_start():
    stage = make_build().stages.get()
    start_stage(stage=stage, now=NOW)
    start_stage(stage=stage, now=LATER)
    stage.refresh_from_db()
    assert stage.started_at == NOW


def test_finishing_a_stage_nobody_started_starts_it_too():
    stage = make_build().stages.get()
    finish_stage(stage=stage, now=NOW)
    stage.refresh_from_db()
    assert (stage.started_at, stage.finished_at) == (NOW, NOW)


def test_a_stage_can_be_taken_up_again():
    stage = make_build().stages.get()
    finish_stage(stage=stage, now=NOW)
    reopen_stage(stage=stage)
    stage.refresh_from_db()
    assert (stage.started_at, stage.finished_at) == (NOW, None)


def test_a_build_is_finished_then_closed():
    build = make_build()
    finish_build(build=build, now=NOW)
    close_build(build=build, now=LATER)
    build.refresh_from_db()
    assert (build.state, build.finished_on, build.closed_on) == (BuildState.CLOSED, TODAY, TODAY)


@pytest.mark.parametrize(
    ("act", "sentence"),
    [
        (close_build, "is planned. Mark it done before you close it out"),
        (lambda **given: [finish_build(**given), finish_build(**given)], "already done"),
        (lambda **given: [finish_build(**given), cancel_build(**given)], "can't be cancelled"),
    ],
    ids=["close before finishing", "finish twice", "cancel what is finished"],
)
def test_what_is_out_of_order_is_refused(act, sentence):
    with pytest.raises(Refusal, match=sentence):
        act(build=make_build(), now=NOW)


def test_days_are_the_shops_own(settings):
    settings.TIME_ZONE = "Pacific/Auckland"
    build = finish_build(build=make_build(), now=NOW.replace(hour=20))
    assert build.finished_on == date(2027, 3, 10)
