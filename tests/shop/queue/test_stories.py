"""Whole stories: a rush order among five builds, a cracked back with one mould, a fair."""

from dataclasses import replace
from datetime import date, datetime, timedelta

import pytest
from django.utils import timezone

from inventory.base.refusals import Refusal
from inventory.models import Workshop
from shop.builds.services.edit import edit_build
from shop.builds.services.end import cancel_build
from shop.builds.services.enter import begin_build
from shop.estimates.queries.estimates import estimate_from
from shop.hours.queries.work import Work
from shop.hours.services.entries import log_hours
from shop.models import (
    PromisedDay,
    QueueForecast,
    QueueSettings,
    ShopThing,
    StageWindow,
    ThingUse,
)
from shop.queue.queries.forecast import work_out
from shop.queue.queries.promises import scored_months, track_record
from shop.queue.queries.shop_now import shared_doubts, shop_now
from shop.queue.queries.trying import Trial, compare, suggestion, with_new_build
from shop.queue.services import (
    block_build,
    move_build,
    order_queue,
    promise_day,
    refresh_queue,
)
from shop.stages.services import finish_stage, reopen_stage, start_stage
from tests.shop.factories import NOW, TODAY
from tests.shop.queue.factories import make_pattern, queue_build

pytestmark = pytest.mark.django_db


@pytest.fixture
def pattern():
    return make_pattern()


def do_stages(build, names, at=NOW - timedelta(days=30)):
    for stage in build.stages.filter(name__in=names):
        start_stage(stage=stage, now=at)
        finish_stage(stage=stage, now=at)


def by_serial(answer):
    return {build.serial: answer.of(build) for build in answer.books.builds}


def test_a_rush_order_accepted_among_five_builds(pattern):
    """What it does to the others is seen before; accepted and moved up, just that happens."""
    builds = [queue_build(pattern, f"Mandolin {number}", 50 - number) for number in range(5)]
    before = refresh_queue(now=NOW)
    trial = with_new_build(before.books, pattern, title="Rush", place=1)
    compared = compare(before.books, trial)
    assert compared.rows[0].build is None
    assert compared.rows[0].after.day_80 < before.of(builds[1]).day_80
    moved = [row.days for row in compared.rows if row.build]
    assert all(days >= 0 for days in moved)
    assert sum(days > 7 for days in moved) >= 3
    rush = queue_build(pattern, "Rush", 0)
    last = refresh_queue(now=NOW)
    assert last.of(rush).day_80 > before.of(builds[4]).day_80
    move_build(build=rush, place=1)
    after = refresh_queue(now=NOW)
    assert after.of(rush).day_80 == compared.rows[0].after.day_80 or (
        abs((after.of(rush).day_80 - compared.rows[0].after.day_80).days) <= 10
    )
    assert after.of(builds[0]).day_80 > before.of(builds[0]).day_80


def test_a_cracked_back_with_one_mould(pattern):
    """The back is made again; the build keeps the mould, and the next one waits for it."""
    stages = {stage.name: stage for stage in pattern.stages.all()}
    mould = ShopThing.objects.create(name="mandolin mould", count=1)
    ThingUse.objects.create(thing=mould, stage=stages["Bend ribs"], until=stages["Close the box"])
    first, second = queue_build(pattern, "First", 60), queue_build(pattern, "Second", 50)
    do_stages(first, ["Carve top and back", "Bend ribs"])
    do_stages(second, ["Carve top and back"])
    before = refresh_queue(now=NOW)
    assert before.of(second).stages[0].starts >= TODAY + timedelta(days=2)
    reopen_stage(stage=first.stages.get(name="Carve top and back"))
    after = refresh_queue(now=NOW)
    assert after.of(first).day_80 > before.of(first).day_80 + timedelta(days=3)
    assert after.of(second).stages[0].starts > before.of(second).stages[0].starts
    mould.count = 2
    mould.save()
    eased = refresh_queue(now=NOW)
    assert eased.of(second).stages[0].starts < after.of(second).stages[0].starts


def test_a_fair_s_deadline_is_met_by_reordering(pattern):
    """The build for the fair was entered last; a suggested order brings it there in time."""
    others = [queue_build(pattern, f"Patient {number}", 40 - number) for number in range(3)]
    fair = queue_build(pattern, "For the fair", 0)
    alone = work_out(refresh_queue(now=NOW).books.in_order([f"{fair.pk}"]))[f"{fair.pk}"]
    promise_day(build=fair, day=alone.day_80 + timedelta(days=14), now=NOW)
    before = refresh_queue(now=NOW)
    assert before.of(fair).chance < 0.2
    found = suggestion(before.books)
    assert found is not None
    order_queue(builds=[int(key) for key in found.order])
    after = refresh_queue(now=NOW)
    assert after.of(fair).chance > 0.75
    assert {build.serial for build in after.books.builds} == {one.serial for one in [*others, fair]}


def test_the_same_books_give_the_same_days_and_are_worked_out_once(pattern):
    queue_build(pattern, "One")
    first = refresh_queue(now=NOW)
    made_at = QueueForecast.objects.get().made_at
    second = refresh_queue(now=NOW + timedelta(minutes=5))
    assert first.forecasts == second.forecasts
    assert QueueForecast.objects.get().made_at == made_at


def test_lost_days_move_the_forecast(pattern):
    build = queue_build(pattern, "One")
    before = refresh_queue(now=NOW).of(build)
    after = refresh_queue(now=NOW + timedelta(days=7)).of(build)
    assert after.day_80 - before.day_80 >= timedelta(days=4)


def test_a_payment_that_must_come_first_holds_a_build_back(pattern):
    build = queue_build(pattern, "One")
    block_build(build=build, not_before=TODAY + timedelta(days=40), waits_for="the deposit")
    found = refresh_queue(now=NOW).of(build)
    assert found.stages[0].starts >= TODAY + timedelta(days=40)
    assert "the deposit" in found.why_words


def test_waiting_that_goes_on_is_waited_for(pattern):
    build = queue_build(pattern, "One")
    do_stages(build, ["Carve top and back"], at=NOW)
    found = refresh_queue(now=NOW).of(build)
    assert found.stages[0].starts == TODAY + timedelta(days=3)


def test_a_promise_moves_only_with_a_note_to_the_client(pattern):
    build = queue_build(pattern, "One")
    day = TODAY + timedelta(days=120)
    promise_day(build=build, day=day, now=NOW, reason="the client asked")
    build.refresh_from_db()
    kept = PromisedDay.objects.get()
    assert kept.day == build.promised_on == day
    assert kept.chance is not None
    assert kept.forecast_80 == refresh_queue(now=NOW).of(build).day_80
    with pytest.raises(Refusal, match="Enter how the client was told"):
        promise_day(build=build, day=day + timedelta(days=9), now=NOW)
    build.refresh_from_db()
    assert build.promised_on == day


def test_promises_are_scored_when_the_build_is_done(pattern):
    build = queue_build(pattern, "One")
    promise_day(build=build, day=TODAY + timedelta(days=60), now=NOW)
    build.finished_on = TODAY + timedelta(days=64)
    build.save()
    record = track_record()
    assert (record.done, record.kept) == (1, 0)
    assert record.rows[0].days_late == 4


def test_a_coat_s_window_is_kept(pattern):
    stages = {stage.name: stage for stage in pattern.stages.all()}
    StageWindow.objects.create(stage=stages["Bend ribs"], most_days=4)
    builds = [queue_build(pattern, f"{number}", 20 - number) for number in range(3)]
    for build in builds:
        found = refresh_queue(now=NOW).of(build)
        bend, close = (
            next(one for one in found.stages if one.name == name)
            for name in ("Bend ribs", "Close the box")
        )
        assert (close.starts - bend.finishes).days <= 4


def test_a_build_without_a_template_says_so():
    from tests.shop.factories import make_build

    build = make_build("Odd one", made_on=TODAY)
    found = refresh_queue(now=NOW).of(build)
    assert found.note == "It has no template: its own planned hours are used."


def test_a_thing_held_for_ever_is_refused_in_one_sentence(pattern):
    stages = {stage.name: stage for stage in pattern.stages.all()}
    form = ShopThing.objects.create(name="bending form", count=1)
    ThingUse.objects.create(thing=form, stage=stages["Neck"], units=2)
    build = queue_build(pattern, "One")
    with pytest.raises(Refusal) as refused:
        refresh_queue(now=NOW)
    assert refused.value.sentence == (
        f"{build.serial}, Neck: it needs 2 of “bending form” and there are 1. Raise the number, "
        "or take the need out."
    )


def test_nobody_works_on_public_holidays_of_the_country(pattern):
    """1 May is a holiday in Germany (Art. 1 of each state's law on holidays), 5 May is none."""
    Workshop.objects.create(pk=1, name="x", maker="y", currency="EUR", country="DE")
    on = date(2028, 4, 28)
    minutes = shop_now(on).hands[0]
    assert [minutes[(day - on).days] for day in (date(2028, 5, 1), date(2028, 5, 5))] == [0, 240]
    QueueSettings.objects.create(pk=1, public_holidays=False)
    assert shop_now(on).hands[0][3] == 300


def test_the_share_of_hours_is_learned_from_the_clock(pattern, posy):
    build = queue_build(pattern, "One")
    before = shared_doubts(TODAY)
    work = [Work(build=build, stage=build.stages.first())]
    for week in range(1, 9):
        day = TODAY - timedelta(weeks=week)
        log_hours(person=posy, day=day, minutes=6 * 60, work=work, now=NOW)
    after = shared_doubts(TODAY)
    assert before.share == 0.9
    assert after.share == pytest.approx((0.9 * 6 + 8 * 0.25) / 14)
    assert after.share_doubt < before.share_doubt


def test_orders_that_name_a_build_twice_are_refused(pattern):
    build = queue_build(pattern, "One")
    with pytest.raises(Refusal, match="named twice"):
        order_queue(builds=[build.pk, build.pk])
    with pytest.raises(Refusal, match="places 1 to 1"):
        move_build(build=build, place=3)


def test_trying_days_off_and_things_changes_nothing(pattern):
    build = queue_build(pattern, "One")
    before = refresh_queue(now=NOW)
    trial = Trial(days_off=(TODAY, TODAY + timedelta(days=20)))
    compared = compare(before.books, trial.of(before.books))
    assert compared.rows[0].days >= 14
    assert refresh_queue(now=NOW).of(build) == before.of(build)
    assert timezone.is_aware(NOW)
    assert isinstance(NOW, datetime)


def test_a_stage_that_past_builds_skipped_counts_by_its_chance_until_it_is_begun(
    pattern, monkeypatch
):
    def rarely(record, **asked):
        found = estimate_from(record, **asked)
        return replace(found, stages=tuple(replace(one, chance=0.6) for one in found.stages))

    monkeypatch.setattr("shop.queue.queries.reading.estimate_from", rarely)
    build = queue_build(pattern, "One")
    start_stage(stage=build.stages.first(), now=NOW)
    (guess,) = refresh_queue(now=NOW).books.guesses
    assert [round(one.skip, 2) for one in guess.stages] == [0, 0.4, 0.4, 0.4, 0.4, 0.4]


def test_an_edit_does_not_move_a_promised_day(pattern):
    build = queue_build(pattern, "One", promised_on=TODAY)
    with pytest.raises(Refusal, match="how the client was told"):
        edit_build(build=build, changes={"promised_on": TODAY + timedelta(days=1)})
    assert edit_build(build=build, changes={"title": "Two"}).promised_on == TODAY


def test_a_day_promised_without_the_queue_gets_its_chance_when_the_queue_is_next_kept(pattern):
    build = begin_build(
        template=pattern,
        title="One",
        made_on=TODAY,
        promised_on=TODAY + timedelta(days=90),
        now=NOW,
    )
    kept = PromisedDay.objects.get()
    assert (kept.build, kept.day, kept.chance) == (build, build.promised_on, None)
    answer = refresh_queue(now=NOW)
    kept.refresh_from_db()
    assert kept.forecast_80 == answer.of(build).day_80
    assert float(kept.chance) == pytest.approx(answer.of(build).chance, abs=0.001)


def test_an_old_promise_gets_no_chance_that_was_not_of_its_day(pattern):
    begin_build(template=pattern, title="One", made_on=TODAY, promised_on=TODAY, now=NOW)
    refresh_queue(now=NOW + timedelta(days=3))
    assert PromisedDay.objects.get().chance is None


def test_what_the_queue_said_each_month_is_scored_by_what_came_of_it(pattern):
    early, late, open_one = (queue_build(pattern, f"{number}") for number in range(3))
    on = date(2027, 3, 2)
    said = {"days": ["2027-05-10", "2027-05-20", "2027-05-30"]}
    builds = {f"{one.pk}": said for one in (early, late, open_one)}
    for day in (on, date(2027, 3, 9)):
        QueueForecast.objects.create(on=day, stamp="x", made_at=NOW, builds=builds)
    QueueForecast.objects.create(
        on=date(2027, 4, 1), stamp="x", made_at=NOW, builds={f"{open_one.pk}": said}
    )
    for build, day in ((early, date(2027, 5, 20)), (late, date(2027, 5, 21))):
        build.finished_on = day
        build.save()
    assert scored_months(date(2027, 5, 20)) == []  # none is past its safe day
    april, march = scored_months(date(2027, 5, 21))
    assert (march.on, len(march.rows), len(march.kept), len(march.still_open)) == (on, 3, 1, 1)
    assert march.median_error == 10  # of the two that are ready
    assert (len(april.kept), len(april.still_open), april.median_error) == (0, 1, None)
    cancel_build(build=open_one, now=NOW)
    [march] = scored_months(date(2027, 5, 21))
    assert (len(march.rows), len(march.kept), len(march.still_open)) == (2, 1, 0)
