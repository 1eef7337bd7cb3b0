"""The clock on the desk."""

from datetime import datetime, timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from shop.models import Batch, TimeEntry
from shop.services.start_clock import start_clock
from shop.sharing import Work
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
    assert "The clock runs on Bend ribs" in page.text
    assert "data-undo" in page.text


def test_a_batch_is_clocked_on_together(desk, pair):
    page = desk.get(reverse("today"))
    assert page.text.count("Both of the batch") == 2
    clock_on(desk, stage=[build.stages.get().pk for build in pair])
    assert TimeEntry.objects.get().shares.count() == 2


def test_time_for_no_build_needs_a_reason(desk, posy):
    clock_on(desk, reason="clean-up")
    assert TimeEntry.objects.get().reason == "clean-up"
    assert "Say which build" in clock_on(desk).text


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
    assert "stopped already" in twice.text


def test_a_forgotten_stop_is_given_an_end(desk, posy, pair):
    began = timezone.now() - timedelta(minutes=275)
    work = [Work(build=pair[0], stage=pair[0].stages.get())]
    entry = start_clock(person=posy, work=work, now=began)
    page = reverse("clock_settle", args=[entry.pk])
    assert "4 h 35" in desk.get(page).text
    end = timezone.localtime(began + timedelta(minutes=85)).replace(second=0, microsecond=0)
    desk.post(page, {"end": "choose", "at": f"{end:%Y-%m-%dT%H:%M}"})
    entry.refresh_from_db()
    assert entry.stopped_at == end
    assert 16500 <= entry.raw_seconds < 16560
    none = desk.post(page, {"end": "choose"})
    assert none.status_code == 422


def test_the_next_day_the_page_pauses_the_clock_at_midnight(desk, posy, pair):
    yesterday = timezone.localtime() - timedelta(days=1)
    evening = yesterday.replace(hour=21, minute=0, second=0, microsecond=0)
    entry = start_clock(person=posy, work=[Work(build=pair[0])], now=evening)
    page = desk.get(reverse("today"))
    assert reverse("clock_settle", args=[entry.pk]) in page.text
    entry.refresh_from_db()
    assert (entry.is_unsure, entry.seconds) == (True, 3 * 3600)
    offered = desk.get(reverse("clock_settle", args=[entry.pk]))
    assert "midnight" in offered.text
    assert isinstance(entry.raw_stopped_at, datetime)
