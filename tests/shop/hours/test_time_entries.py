"""Time entries in the API."""

from datetime import UTC, datetime

import pytest
from django.utils import timezone

from shop.hours.queries.work import Work
from shop.hours.services.entries import log_hours
from shop.models import TimeEntry
from tests.shop.factories import make_build, planned_stage

pytestmark = pytest.mark.django_db
NOW = datetime(2027, 3, 17, 9, 0, tzinfo=UTC)
URL = "/api/v1/time-entries/"


@pytest.fixture(autouse=True)
def morning(monkeypatch):
    monkeypatch.setattr(timezone, "now", lambda: NOW)


@pytest.fixture
def pair(workshop):
    return [make_build(title, stages=[planned_stage("Binding and purfling")]) for title in "AB"]


def log(posy, build, minutes=60):
    return log_hours(
        person=posy, day=NOW.date(), minutes=minutes, now=NOW, work=[Work(build=build)]
    )


def test_hours_typed_in_afterwards(phone, pair):
    body = {"day": "2027-03-16", "minutes": 75, "work": [{"build": one.pk} for one in pair]}
    answer = phone.post(URL, body)
    assert answer.status_code == 201
    assert [share["minutes"] for share in answer.data["shares"]] == ["37.5", "37.5"]


def test_a_typed_line_is_read(phone, pair):
    answer = phone.post(f"{URL}line/", {"line": "yesterday, 2.5 h, binding, both"})
    assert answer.status_code == 201, answer.data
    assert (answer.data["day"], answer.data["minutes"]) == ("2027-03-16", "150")
    assert {share["stage_name"] for share in answer.data["shares"]} == {"Binding and purfling"}


def test_a_line_typed_on_an_earlier_day_means_that_days_yesterday(phone, pair):
    line = {"line": "yesterday, 1 h, binding, A", "on": "2027-03-10"}
    assert phone.post(f"{URL}line/", line).data["day"] == "2027-03-09"


def test_a_line_that_is_not_understood_is_said(phone, pair):
    answer = phone.post(f"{URL}line/", {"line": "yesterday, binding, both"})
    assert answer.status_code == 409
    assert answer.data["detail"].startswith("Enter the time worked.")


def test_of_two_phones_that_change_one_entry_neither_silently_wins(phone, posy, pair):
    entry = log(posy, pair[0])
    url = f"{URL}{entry.pk}/"
    read = phone.get(url)["ETag"]
    first = phone.patch(url, {"minutes": 75}, headers={"If-Match": read})
    second = phone.patch(url, {"minutes": 90}, headers={"If-Match": read})
    assert (first.status_code, second.status_code) == (200, 412)
    assert second.data["detail"].startswith("Someone else edited this since you read it.")
    again = phone.patch(url, {"minutes": 90}, headers={"If-Match": first["ETag"]})
    assert (again.data["minutes"], len(again.data["corrections"])) == ("90", 2)


def test_a_change_without_a_version_is_declined(phone, posy, pair):
    answer = phone.patch(f"{URL}{log(posy, pair[0]).pk}/", {"minutes": 75})
    assert answer.status_code == 428


def test_the_version_in_a_list_is_that_of_the_entry(phone, posy, pair):
    entry = log(posy, pair[0])
    row = phone.get(URL).data["results"][0]
    assert row["etag"] == phone.get(f"{URL}{entry.pk}/")["ETag"]


def test_entries_are_found_by_day_build_and_whether_they_run(phone, posy, pair):
    log(posy, pair[0])
    later = {"day_after": "2027-03-17", "day_before": "2027-03-17", "build": pair[0].pk}
    assert phone.get(URL, later).data["count"] == 1
    assert phone.get(URL, {"running": "true"}).data["count"] == 0
    assert phone.get(URL, {"build": pair[1].pk}).data["count"] == 0


@pytest.mark.parametrize("rows", [1, 25])
def test_the_list_takes_the_same_queries_however_long(
    phone, posy, pair, rows, django_assert_num_queries
):
    for _ in range(rows):
        log(posy, pair[0])
    with django_assert_num_queries(7):
        assert phone.get(URL).data["count"] == rows


def test_an_entry_is_made_once_however_often_it_is_sent(phone, pair):
    body = {"day": "2027-03-16", "minutes": 75, "work": [{"build": pair[0].pk}]}
    for _ in range(2):
        answer = phone.post(URL, body, headers={"Idempotency-Key": "one"})
        assert answer.status_code == 201
    assert TimeEntry.objects.count() == 1
