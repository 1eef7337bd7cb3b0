"""Hours typed in, shared over a batch, and put right."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction

from inventory.base.queries import begin_of
from inventory.base.refusals import Refusal
from shop.hours.bookkeeping import BY_HAND, LIKELY
from shop.hours.queries.work import Work
from shop.hours.services.entries import correct_hours, log_hours
from shop.models import BuildState
from tests.shop.factories import NOW, TODAY, make_build, planned_stage

pytestmark = pytest.mark.django_db


@pytest.fixture
def pair(workshop):
    return [
        make_build("A", stages=[planned_stage("Bend ribs", "6")]),
        make_build("B", stages=[planned_stage("Bend ribs", "3")]),
    ]


def on(build, seconds=None):
    return Work(build=build, stage=build.stages.first(), seconds=seconds)


def shares(entry):
    return [share.seconds for share in entry.shares.all()]


def log(posy, minutes=75, **given):
    return log_hours(person=posy, day=TODAY, minutes=minutes, now=NOW, **given)


def test_a_batch_shares_its_time_equally(posy, pair):
    entry = log(posy, work=[on(pair[0]), on(pair[1])])
    assert (entry.seconds, shares(entry)) == (4500, [2250, 2250])


def test_a_batch_may_share_by_planned_hours(posy, pair):
    entry = log(posy, work=[on(pair[0]), on(pair[1])], split_by=LIKELY)
    assert shares(entry) == [3000, 1500]


def test_a_batch_may_be_split_by_hand(posy, pair):
    entry = log(posy, work=[on(pair[0], 4000), on(pair[1], 500)], split_by=BY_HAND)
    assert shares(entry) == [4000, 500]


def test_parts_by_hand_make_up_the_whole(posy, pair):
    with pytest.raises(Refusal, match="missing"):
        log(posy, work=[on(pair[0], 4000), on(pair[1], 100)], split_by=BY_HAND)


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"minutes": 0}, "Enter the time worked"),
        ({"minutes": 1441}, "24 hours"),
        ({}, "Choose a build"),
        ({"is_billable": False}, "Enter the reason these hours are not billable"),
    ],
    ids=["no time", "more than a day", "no build", "no reason"],
)
def test_what_can_not_be_is_refused(posy, given, sentence):
    with pytest.raises(Refusal, match=sentence):
        log(posy, **given)


def test_a_stage_of_another_build_is_refused(posy, pair):
    work = [Work(build=pair[0], stage=pair[1].stages.first())]
    with pytest.raises(Refusal, match="not a stage of"):
        log(posy, work=work)


def test_hours_that_can_not_be_billed_need_no_build(posy):
    entry = log(posy, 30, is_billable=False, reason="clean-up")
    assert (entry.reason, shares(entry)) == ("clean-up", [])


def test_a_correction_keeps_the_raw_time_and_says_what_changed(posy, pair):
    entry = log(posy, 275, work=[on(pair[1])], started_at=NOW)
    fixed = correct_hours(entry=entry, minutes=85, why="the clamps went on", now=NOW, user=posy)
    assert (fixed.raw_seconds, fixed.seconds, shares(fixed)) == (275 * 60, 85 * 60, [85 * 60])
    assert fixed.stopped_at == datetime(2027, 3, 9, 10, 25, tzinfo=UTC)
    correction = fixed.corrections.get()
    assert (correction.before["seconds"], correction.after["seconds"]) == (16500, 5100)
    assert correction.why == "the clamps went on"


def test_clock_times_give_the_length(posy, pair):
    entry = log(posy, 275, work=[on(pair[1])], started_at=NOW)
    fixed = correct_hours(entry=entry, stopped_at=NOW.replace(hour=10), now=NOW, user=posy)
    assert fixed.seconds == 3600
    with pytest.raises(Refusal, match="end must be after the start"):
        correct_hours(entry=entry, stopped_at=NOW.replace(hour=8), now=NOW, user=posy)


def test_work_and_day_can_be_put_right(posy, pair):
    entry = log(posy, 60, work=[on(pair[0])])
    fixed = correct_hours(
        entry=entry, work=[on(pair[0]), on(pair[1])], day=date(2027, 3, 8), now=NOW, user=posy
    )
    assert (fixed.day, shares(fixed)) == (date(2027, 3, 8), [1800, 1800])


def test_what_becomes_billable_needs_no_reason_any_more(posy, pair):
    entry = log(posy, 60, is_billable=False, reason="practice")
    fixed = correct_hours(entry=entry, is_billable=True, work=[on(pair[0])], now=NOW, user=posy)
    assert (fixed.reason, shares(fixed)) == ("", [3600])


def test_parts_by_hand_are_asked_for_again_when_the_length_changes(posy, pair):
    entry = log(posy, work=[on(pair[0], 4000), on(pair[1], 500)], split_by=BY_HAND)
    with pytest.raises(Refusal, match="add up to"):
        correct_hours(entry=entry, minutes=60, now=NOW, user=posy)


def test_a_correction_that_changes_nothing_leaves_no_trace(posy, pair):
    entry = log(posy, 60, work=[on(pair[0])])
    correct_hours(entry=entry, minutes=60, now=NOW, user=posy)
    assert not entry.corrections.exists()


def test_the_total_of_a_build_is_the_sum_of_its_shares(posy, pair):
    log(posy, 75, work=[on(pair[0]), on(pair[1])])
    log(posy, 123, work=[on(pair[0])])
    seconds = sum(share.seconds for share in pair[0].time_shares.all())
    assert Decimal(seconds) / 60 == Decimal("160.5")


@pytest.mark.parametrize("has_stage", [True, False], ids=["on a stage", "on the build at large"])
def test_the_database_holds_one_share_per_build_and_stage(posy, pair, has_stage):
    work = on(pair[0]) if has_stage else Work(build=pair[0])
    share = log(posy, work=[work]).shares.get()
    share.pk = None
    with pytest.raises(IntegrityError), transaction.atomic():
        share.save(force_insert=True)


def test_a_stage_has_begun_once_hours_of_it_are_typed_in(posy, pair):
    log_hours(person=posy, day=date(2027, 3, 5), minutes=75, now=NOW, work=[on(pair[0])])
    build = pair[0]
    build.refresh_from_db()
    assert (build.state, build.started_on) == (BuildState.UNDER_WAY, date(2027, 3, 5))
    assert build.stages.get().started_at == begin_of(date(2027, 3, 5))
    log(posy, work=[on(build)])
    assert build.stages.get().started_at == begin_of(date(2027, 3, 5))


def test_hours_of_a_build_at_large_begin_no_stage(posy, pair):
    log(posy, work=[Work(build=pair[0])])
    assert pair[0].stages.get().started_at is None
