"""The clock in the API."""

from datetime import UTC, datetime, timedelta

import pytest
from django.utils import timezone

from shop.models import TimeEntry
from tests.shop.factories import make_build, planned_stage

pytestmark = pytest.mark.django_db
NOW = datetime(2027, 3, 16, 18, 0, tzinfo=UTC)


@pytest.fixture(autouse=True)
def evening(monkeypatch):
    monkeypatch.setattr(timezone, "now", lambda: NOW)


@pytest.fixture
def build(workshop):
    return make_build("A", stages=[planned_stage("Bend ribs")])


def work(build):
    return [{"build": build.pk, "stage": build.stages.get().pk}]


def start(phone, build, at="2027-03-16T08:40:00Z", path="start", **headers):
    return phone.post(
        f"/api/v1/clock/{path}/", {"at": at, "work": work(build)}, headers=headers or None
    )


def test_the_clock_says_what_runs_and_offers_ends(phone, build):
    start(phone, build)
    clock = phone.get("/api/v1/clock/").data
    assert [entry["shares"][0]["serial"] for entry in clock["running"]] == [build.serial]
    assert [offer["key"] for offer in clock["offers"]] == ["day_end", "now"]
    assert clock["offers"][0]["words"] == "17:00, end of the working day: 8:20 h"
    assert (clock["day_ends_at"], "clean-up" in clock["reasons"]) == ("17:00:00", True)


@pytest.mark.parametrize("running", [1, 25])
def test_the_clock_takes_the_same_queries_with_many_running(
    phone, posy, looker_on, build, running, django_assert_num_queries
):
    for number in range(running):
        entry = start(phone, build, f"2027-03-16T08:{number:02}:00Z").data
        if number:
            TimeEntry.objects.filter(pk=entry["id"]).update(person=looker_on)
    with django_assert_num_queries(15):
        phone.get("/api/v1/clock/")


def test_a_phone_an_hour_fast_is_put_right_and_its_skew_is_noted(phone, build):
    told = {"Device-Time": "2027-03-16T19:00:00Z"}
    entry = start(phone, build, "2027-03-16T09:40:00Z", **told).data
    assert entry["started_at"] == "2027-03-16T08:40:00Z"
    assert (entry["device_at"], entry["skew_seconds"]) == ("2027-03-16T09:40:00Z", -3600)


def test_an_unreadable_clock_of_a_device_is_said(phone, build):
    answer = start(phone, build, **{"Device-Time": "noonish"})
    assert answer.status_code == 400
    assert "not a time with a time zone" in answer.data["detail"]


def test_switching_answers_with_what_stopped_and_what_started(phone, build):
    first = start(phone, build).data
    answer = start(phone, build, "2027-03-16T09:40:00Z", path="switch")
    assert (answer.status_code, answer.data["started"]["is_running"]) == (201, True)
    assert [(one["id"], one["minutes"]) for one in answer.data["stopped"]] == [(first["id"], "60")]


def test_a_tap_is_undone_within_ten_seconds_of_the_phones_clock(phone, build):
    entry = start(phone, build).data
    undo = {"entry": entry["id"], "at": "2027-03-16T08:40:09Z"}
    assert phone.post("/api/v1/clock/undo/", undo).data["reason"] == "undone"


def test_what_is_declined_is_said_in_a_sentence(phone, build):
    entry = start(phone, build).data
    stop = {"entry": entry["id"], "at": "2027-03-16T08:00:00Z"}
    answer = phone.post("/api/v1/clock/stop/", stop)
    assert answer.status_code == 409
    assert answer.data["detail"].startswith("The clock started at 08:40")


def test_reading_the_clock_the_next_day_pauses_it_at_midnight(phone, build, monkeypatch):
    start(phone, build)
    monkeypatch.setattr(timezone, "now", lambda: NOW + timedelta(days=1))
    clock = phone.get("/api/v1/clock/").data
    assert (clock["running"], clock["unsure"][0]["minutes"]) == ([], "920")


def test_a_looker_on_starts_no_clock(client, looker_on, build):
    client.force_login(looker_on)
    answer = client.post("/api/v1/clock/start/", {"work": []}, content_type="application/json")
    assert answer.status_code == 403
