"""The clock on the desk."""

from datetime import datetime, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from shop.hours.queries.work import Work
from shop.hours.services.clock import start_clock
from shop.models import Batch, TimeEntry
from tests.shop.factories import make_build, planned_stage

pytestmark = pytest.mark.django_db


@pytest.fixture
def pair(posy):
    batch = Batch.objects.create(name="Spring pair")
    return [make_build(title, stages=[planned_stage("Bend ribs")], batch=batch) for title in "AB"]


def clock_on(desk, **data):
    return desk.post(reverse("clock_switch"), data, follow=True)


def test_the_clock_is_switched_in_one_act(desk, pair):
    first, second = (build.stages.get() for build in pair)
    clock_on(desk, stage=first.pk)
    page = clock_on(desk, stage=second.pk)
    assert TimeEntry.objects.filter(seconds=None).get().shares.get().stage == second
    assert "Clock started: Bend ribs" in page.text
    assert "data-undo" in page.text


def test_a_stage_is_clocked_on_from_its_build_until_it_is_finished(desk, pair):
    stage = pair[0].stages.get()
    button = f'name="stage" value="{stage.pk}"><button class="small">Start clock'
    page = reverse("build", args=[pair[0].pk])
    assert button in desk.get(page).text
    desk.post(reverse("stage_act", args=[stage.pk, "finish"]))
    assert button not in desk.get(page).text


def test_a_batch_is_clocked_on_together(desk, pair):
    page = desk.get(reverse("today"))
    assert page.text.count("Start both of the batch") == 2
    clock_on(desk, stage=[build.stages.get().pk for build in pair])
    assert TimeEntry.objects.get().shares.count() == 2


def test_time_for_no_build_needs_a_reason(desk, posy):
    clock_on(desk, reason="clean-up")
    assert TimeEntry.objects.get().reason == "clean-up"
    assert "Choose a build" in clock_on(desk).text


def test_a_stop_is_taken_back(desk, pair):
    clock_on(desk, stage=pair[0].stages.get().pk)
    entry = TimeEntry.objects.get()
    desk.post(reverse("clock_stop", args=[entry.pk]))
    entry.refresh_from_db()
    assert not entry.is_running
    desk.post(reverse("clock_undo", args=[entry.pk]))
    entry.refresh_from_db()
    assert entry.is_running
    again = desk.post(reverse("clock_stop", args=[entry.pk]), follow=True)
    twice = desk.post(reverse("clock_stop", args=[entry.pk]), follow=True)
    assert "Stopped" in again.text
    assert "already stopped" in twice.text


def test_a_forgotten_stop_is_given_an_end(desk, posy, pair, monkeypatch):
    # In the afternoon: a clock that ran over midnight is another story.
    afternoon = timezone.now().replace(hour=15, minute=50)
    monkeypatch.setattr("django.utils.timezone.now", lambda: afternoon)
    began = afternoon - timedelta(minutes=275)
    work = [Work(build=pair[0], stage=pair[0].stages.get())]
    entry = start_clock(person=posy, work=work, now=began)
    page = reverse("clock_settle", args=[entry.pk])
    assert "4:35 h" in desk.get(page).text
    end = timezone.localtime(began + timedelta(minutes=85)).replace(second=0, microsecond=0)
    desk.post(page, {"end": "choose", "at": f"{end:%Y-%m-%dT%H:%M}"})
    entry.refresh_from_db()
    assert entry.stopped_at == end
    assert 16500 <= entry.raw_seconds < 16560
    none = desk.post(page, {"end": "choose"})
    assert none.status_code == 409


@pytest.fixture
def last_evening(posy, pair):
    """A clock that was started yesterday at 9 in the evening, and still runs."""
    yesterday = timezone.localtime() - timedelta(days=1)
    evening = yesterday.replace(hour=21, minute=0, second=0, microsecond=0)
    return start_clock(person=posy, work=[Work(build=pair[0])], now=evening)


@pytest.mark.parametrize("name", ["today", "hours", "builds", "books", "api_clock"])
def test_whatever_is_shown_the_next_day_the_clock_was_paused_at_midnight(desk, last_evening, name):
    desk.get(reverse(name))
    last_evening.refresh_from_db()
    assert (last_evening.is_unsure, last_evening.seconds) == (True, 3 * 3600)


def test_the_day_that_it_ran_counts_it_up_to_midnight(desk, last_evening):
    page = desk.get(reverse("hours_day", args=[last_evening.day]))
    assert '<span class="hours">3:00 <span class="unit">h</span></span>' in page.text


def test_a_stop_that_arrives_the_next_day_still_counts(desk, last_evening):
    told = last_evening.started_at + timedelta(minutes=30)
    asked = {"entry": last_evening.pk, "at": told.isoformat()}
    answer = desk.post("/api/v1/clock/stop/", asked, content_type="application/json")
    last_evening.refresh_from_db()
    assert (answer.status_code, last_evening.seconds) == (200, 30 * 60)
    assert not last_evening.is_unsure


def test_a_clock_of_today_is_left_to_run(desk, posy, pair):
    entry = start_clock(person=posy, work=[Work(build=pair[0])], now=timezone.now())
    desk.get(reverse("today"))
    entry.refresh_from_db()
    assert entry.is_running


def test_a_paused_clock_is_settled_by_choosing_its_end(desk, last_evening):
    page = desk.get(reverse("today"))
    assert reverse("clock_settle", args=[last_evening.pk]) in page.text
    offered = desk.get(reverse("clock_settle", args=[last_evening.pk]))
    assert "midnight" in offered.text
    last_evening.refresh_from_db()
    assert isinstance(last_evening.raw_stopped_at, datetime)
