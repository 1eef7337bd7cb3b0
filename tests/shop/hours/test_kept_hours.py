"""Hours of finished builds are kept by stage, and are always what the time entries add up to."""

from datetime import UTC, datetime, timedelta

import pytest

from shop.builds.services.end import finish_build
from shop.estimates.services import leave_out_of_estimates
from shop.hours.queries.work import Work
from shop.hours.services.entries import correct_hours, log_hours, record_interruption
from shop.models import BuildState
from tests.conftest import make_person
from tests.shop.kept_hours import added_up, kept_hours
from tests.shop.past_builds import FIRST_DAY, make_past_build, make_pattern

NOW = datetime(2027, 3, 2, 9, 0, tzinfo=UTC)


@pytest.fixture
def person(db):
    return make_person("posy", "owner")


@pytest.fixture
def build(db):
    """A build that was just finished."""
    row = make_past_build(
        make_pattern(), {"Carve top": 12.5, "Finish": 3}, state=BuildState.UNDER_WAY
    )
    return finish_build(build=row, now=NOW)


def work_on(build, name):
    return [Work(build=build, stage=build.stages.get(name=name))]


def logged(build, person, **more):
    work = work_on(build, "Finish")
    return log_hours(person=person, day=FIRST_DAY, minutes=90, now=NOW, work=work, **more)


def test_finishing_keeps_the_hours(build):
    assert kept_hours() == added_up()
    assert sum(row[-1] for row in kept_hours()[build.pk]) == 15.5 * 3600


def test_an_open_build_keeps_none(person):
    row = make_past_build(make_pattern(), {"Finish": 3}, state=BuildState.UNDER_WAY)
    logged(row, person)
    assert kept_hours() == {}


def hours_that_come_late(build, person):
    logged(build, person)


def hours_of_making_again(build, person):
    correct_hours(entry=logged(build, person), is_remake=True, now=NOW, user=person)


def hours_moved_to_another_stage(build, person):
    work = work_on(build, "Carve top")
    correct_hours(entry=logged(build, person), work=work, now=NOW, user=person)


def hours_that_belong_to_no_build(build, person):
    entry = logged(build, person)
    correct_hours(entry=entry, work=(), is_billable=False, reason="clean-up", now=NOW, user=person)


def an_interruption(build, person):
    entry = logged(build, person, started_at=NOW - timedelta(hours=2))
    record_interruption(
        entry=entry, started_at=NOW - timedelta(hours=1), minutes=10, reason="post", now=NOW,
        user=person,
    )  # fmt: skip


def a_stage_left_out(build, person):
    stage = build.stages.get(name="Finish")
    leave_out_of_estimates(build=build, is_set_aside=True, stages=[stage.pk])


@pytest.mark.parametrize(
    "act",
    [
        hours_that_come_late,
        hours_of_making_again,
        hours_moved_to_another_stage,
        hours_that_belong_to_no_build,
        an_interruption,
        a_stage_left_out,
    ],
)
def test_what_changes_later_is_kept_too(build, person, act):
    before = kept_hours()
    act(build, person)
    assert kept_hours() == added_up()
    if act not in (hours_of_making_again, hours_that_belong_to_no_build):
        assert kept_hours() != before
