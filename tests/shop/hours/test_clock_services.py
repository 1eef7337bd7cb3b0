"""The clock: started, stopped, switched, taken back, paused at midnight and settled."""

from datetime import UTC, datetime, timedelta

import pytest

from inventory.base.refusals import Refusal
from shop.hours.bookkeeping import LIKELY
from shop.hours.queries.work import Work
from shop.hours.services.clock import (
    pause_past_midnight,
    settle_forgotten_stop,
    start_clock,
    stop_clock,
    switch_clock,
    undo_clock,
)
from shop.hours.services.entries import correct_hours, record_interruption
from shop.models import TimeEntry
from tests.shop.factories import make_build, planned_stage

pytestmark = pytest.mark.django_db


def clock(text, day=16):
    hour, minute = text.split(":")
    return datetime(2027, 3, day, int(hour), int(minute), tzinfo=UTC)


@pytest.fixture
def pair(workshop):
    return [
        make_build("A", stages=[planned_stage("Bend ribs", "6")]),
        make_build("B", stages=[planned_stage("Bend ribs", "3")]),
    ]


def on(*builds):
    return [Work(build=build, stage=build.stages.first()) for build in builds]


def start(person, at, *builds, **given):
    return start_clock(person=person, now=clock("16:00"), at=clock(at), work=on(*builds), **given)


def stop(entry, at, **given):
    return stop_clock(entry=entry, now=clock("16:00"), at=clock(at), **given)


def shares(entry):
    return [share.seconds for share in entry.shares.all()]


def test_a_batch_starts_together_and_shares_its_time(posy, pair):
    entry = start(posy, "8:40", *pair)
    assert (entry.is_running, shares(entry), entry.recorded_at) == (True, [0, 0], clock("16:00"))
    assert (stop(entry, "9:55").seconds, shares(entry)) == (4500, [2250, 2250])


def test_a_batch_may_share_by_planned_hours(posy, pair):
    entry = start(posy, "8:40", *pair, split_by=LIKELY)
    assert shares(stop(entry, "9:55")) == [3000, 1500]


def test_parts_by_hand_may_be_given_as_the_clock_stops(posy, pair):
    entry = start(posy, "8:40", *pair)
    by_hand = [
        Work(build=build, stage=build.stages.first(), seconds=part)
        for build, part in zip(pair, (4000, 500), strict=True)
    ]
    assert shares(stop(entry, "9:55", work=by_hand)) == [4000, 500]


def test_starting_a_stage_puts_its_build_under_way(posy, pair):
    start(posy, "8:40", pair[0])
    stage = pair[0].stages.get()
    stage.build.refresh_from_db()
    assert (stage.started_at, stage.build.state) == (clock("8:40"), "under_way")


def test_time_without_a_build_needs_a_reason(posy, workshop):
    with pytest.raises(Refusal, match="the reason these hours are not billable"):
        start(posy, "8:40")
    entry = start(posy, "8:40", is_billable=False, reason="clean-up")
    assert entry.reason == "clean-up"


def test_an_end_before_the_start_is_declined(posy, pair):
    entry = start(posy, "8:40", pair[0])
    with pytest.raises(Refusal, match=r"started at 08:40 on 16 March"):
        stop(entry, "8:39")


def test_a_clock_is_stopped_once(posy, pair):
    entry = stop(start(posy, "8:40", pair[0]), "9:00")
    with pytest.raises(Refusal, match="already stopped"):
        stop(entry, "9:10")


def test_the_devices_clock_is_kept_beside_the_servers(posy, pair):
    told = clock("9:40")
    entry = start(posy, "8:40", pair[0], device_at=told, skew_seconds=-3600)
    entry = stop(entry, "9:00", device_at=told + timedelta(minutes=20))
    assert (entry.device_at, entry.skew_seconds) == (told, -3600)
    assert entry.device_stopped_at == told + timedelta(minutes=20)


def test_switching_stops_and_starts_in_one_act(posy, pair):
    first = start(posy, "8:40", pair[0])
    stopped, second = switch_clock(
        person=posy, now=clock("16:00"), at=clock("9:40"), work=on(pair[1])
    )
    assert [(one.pk, one.seconds) for one in stopped] == [(first.pk, 3600)]
    assert second.is_running


def test_switching_leaves_other_people_alone(posy, looker_on, pair):
    other = start(looker_on, "8:40", pair[0])
    switch_clock(person=posy, now=clock("16:00"), at=clock("9:40"), work=on(pair[1]))
    other.refresh_from_db()
    assert other.is_running


def test_a_switch_told_late_leaves_what_was_started_since(posy, pair):
    later = start(posy, "10:00", pair[0])
    stopped, _ = switch_clock(person=posy, now=clock("16:00"), at=clock("9:40"), work=on(pair[1]))
    later.refresh_from_db()
    assert (stopped, later.is_running) == ([], True)


def test_a_switch_that_is_declined_stops_nothing(posy, pair):
    first = start(posy, "8:40", pair[0])
    with pytest.raises(Refusal):
        switch_clock(person=posy, now=clock("16:00"), at=clock("9:40"))
    first.refresh_from_db()
    assert first.is_running


def undo(entry, at, posy):
    return undo_clock(entry=entry, now=clock("16:00"), user=posy, at=at)


def test_a_start_taken_back_leaves_no_time_and_no_started_stage(posy, pair):
    entry = start(posy, "8:40", pair[0])
    undone = undo(entry, clock("8:40") + timedelta(seconds=9), posy)
    assert (undone.seconds, undone.reason, shares(undone)) == (0, "undone", [])
    assert pair[0].stages.get().started_at is None


def test_a_switch_taken_back_runs_on_as_before(posy, pair):
    first = start(posy, "8:40", pair[0])
    _, second = switch_clock(person=posy, now=clock("16:00"), at=clock("9:40"), work=on(pair[1]))
    undo(second, clock("9:40") + timedelta(seconds=9), posy)
    first.refresh_from_db()
    assert (first.is_running, shares(first)) == (True, [0])
    assert first.corrections.get().why == "stop undone"


def test_a_stop_taken_back_runs_on(posy, pair):
    entry = stop(start(posy, "8:40", *pair), "9:00")
    entry = undo(entry, clock("9:00") + timedelta(seconds=9), posy)
    assert (entry.is_running, shares(entry)) == (True, [0, 0])
    assert shares(stop(entry, "9:55")) == [2250, 2250]


@pytest.mark.parametrize("seconds", [16, -1], ids=["too late", "before the tap"])
def test_a_tap_can_be_undone_for_ten_seconds_only(posy, pair, seconds):
    entry = start(posy, "8:40", pair[0])
    with pytest.raises(Refusal):
        undo(entry, clock("8:40") + timedelta(seconds=seconds), posy)


def test_a_forgotten_stop_keeps_the_raw_time(posy, pair):
    entry = start(posy, "13:15", pair[1])
    settled = settle_forgotten_stop(
        entry=entry, end=clock("14:40"), noticed_at=clock("17:50"), now=clock("17:51"), user=posy
    )
    assert (settled.raw_seconds, settled.seconds, shares(settled)) == (275 * 60, 85 * 60, [5100])
    correction = settled.corrections.get()
    assert (correction.before["seconds"], correction.after["seconds"]) == (16500, 5100)
    assert correction.why == "forgotten stop"


@pytest.mark.parametrize("end", ["13:14", "17:52"], ids=["before the start", "to come"])
def test_a_chosen_end_lies_between_start_and_now(posy, pair, end):
    entry = start(posy, "13:15", pair[1])
    with pytest.raises(Refusal):
        settle_forgotten_stop(entry=entry, end=clock(end), now=clock("17:50"), user=posy)


def test_what_is_settled_is_not_settled_again(posy, pair):
    entry = stop(start(posy, "13:15", pair[1]), "14:00")
    with pytest.raises(Refusal, match="already stopped"):
        settle_forgotten_stop(entry=entry, end=clock("13:40"), now=clock("17:50"), user=posy)


def test_an_interruption_shortens_a_running_entry(posy, pair):
    entry = start(posy, "10:10", pair[0])
    note = record_interruption(
        entry=entry,
        started_at=clock("11:05"),
        minutes=12,
        reason="enquiry",
        now=clock("11:20"),
        user=posy,
    )
    entry = stop(entry, "12:25")
    assert (entry.raw_seconds, entry.seconds, shares(entry)) == (135 * 60, 123 * 60, [123 * 60])
    assert (note.seconds, note.is_billable, note.within) == (720, False, entry)


def test_an_interruption_noted_later_is_a_correction(posy, pair):
    entry = stop(start(posy, "10:10", pair[0]), "12:25")
    record_interruption(
        entry=entry,
        started_at=clock("11:05"),
        minutes=12,
        reason="enquiry",
        now=clock("17:20"),
        user=posy,
    )
    entry.refresh_from_db()
    assert (entry.raw_seconds, entry.seconds, shares(entry)) == (135 * 60, 123 * 60, [123 * 60])
    assert entry.corrections.get().why == "interrupted: enquiry"


def test_a_new_end_still_leaves_the_interruption_out(posy, pair):
    entry = start(posy, "10:10", pair[0])
    record_interruption(
        entry=entry,
        started_at=clock("11:05"),
        minutes=12,
        reason="enquiry",
        now=clock("11:20"),
        user=posy,
    )
    stop(entry, "12:25")
    fixed = correct_hours(entry=entry, stopped_at=clock("12:10"), now=clock("16:00"), user=posy)
    assert fixed.seconds == 108 * 60
    fixed = correct_hours(entry=entry, minutes=123, now=clock("16:00"), user=posy)
    assert fixed.stopped_at == clock("12:25")


def test_an_interruption_lies_inside_its_entry(posy, pair):
    entry = stop(start(posy, "10:10", pair[0]), "12:25")
    with pytest.raises(Refusal, match="between 10:10 and 12:25"):
        record_interruption(
            entry=entry,
            started_at=clock("12:20"),
            minutes=12,
            reason="enquiry",
            now=clock("16:00"),
            user=posy,
        )


def test_midnight_pauses_a_clock_and_marks_it_unsure(posy, pair):
    entry = start(posy, "22:00", pair[0])
    assert pause_past_midnight(now=clock("23:59")) == []
    assert pause_past_midnight(now=clock("7:00", day=17)) == [entry]
    entry.refresh_from_db()
    assert (entry.is_unsure, entry.seconds, entry.day.day) == (True, 7200, 16)
    assert pause_past_midnight(now=clock("7:01", day=17)) == []


def test_a_stop_after_midnight_keeps_the_raw_end(posy, pair):
    entry = start(posy, "22:00", pair[0])
    pause_past_midnight(now=clock("0:10", day=17))
    entry = stop_clock(entry=entry, at=clock("0:30", day=17), now=clock("0:30", day=17))
    assert (entry.raw_seconds, entry.seconds, entry.is_unsure) == (9000, 7200, True)


def test_what_midnight_paused_may_be_settled_past_it(posy, pair):
    entry = start(posy, "22:00", pair[0])
    now = clock("0:30", day=17)
    stop_clock(entry=entry, at=now, now=now)
    settled = settle_forgotten_stop(entry=entry, end=now, now=now, user=posy)
    assert (settled.seconds, settled.is_unsure) == (9000, False)


def test_midnight_is_the_shops_own(posy, pair):
    from zoneinfo import ZoneInfo

    from django.utils import timezone

    with timezone.override(ZoneInfo("America/Halifax")):
        entry = start(posy, "22:00", pair[0])
        assert pause_past_midnight(now=clock("2:00", day=17)) == []
        assert pause_past_midnight(now=clock("3:00", day=17)) == [entry]
    assert TimeEntry.objects.get(pk=entry.pk).stopped_at == clock("3:00", day=17)
