"""W3: a day at the bench without signal, told to the API in the evening, and told twice.

16 March 2027. The figures are those of the invented workshop's third walk-through: A 160.5,
B 122.5, C 140 minutes; 423 of 465 billable (91.0 %); at 45.00 an hour 317.26 as shown by lines.
"""

from decimal import Decimal

import pytest

from inventory.base.calc.money import round_money
from inventory.templatetags.figures import hours
from shop.hours.calc.durations import billable_share
from shop.models import TimeEntry, TimeShare
from tests.shop.factories import make_build, planned_stage

pytestmark = pytest.mark.django_db
RATE = Decimal("45.00")


def at(text):
    return f"2027-03-16T{text}:00Z"


class OfflineQueue:
    """What the phone keeps: requests in order, each with its key; sent again when unanswered."""

    def __init__(self, api):
        self.api = api
        self.waiting = []

    def add(self, path, make_body, sends="post"):
        self.waiting.append((f"w3-{len(self.waiting)}", path, make_body, sends))

    def send(self):
        answers = []
        for key, path, make_body, _ in self.waiting:
            answer = self.api.post(
                f"/api/v1/{path}",
                make_body(answers),
                headers={"Idempotency-Key": key, "Device-Time": at("18:05")},
            )
            assert answer.status_code < 300, answer.data
            answers.append(answer.data)
        return answers


@pytest.fixture
def builds(workshop):
    stages = ("Bend ribs, blocks, linings", "Carve and graduate top", "Level and buff")
    return {
        name: make_build(f"{name} carved bouzouki", stages=[planned_stage(one) for one in stages])
        for name in "ABC"
    }


@pytest.fixture
def evening(monkeypatch):
    """The server's clock stands at 18:05, when the signal comes back."""
    from datetime import UTC, datetime

    from django.utils import timezone

    monkeypatch.setattr(timezone, "now", lambda: datetime(2027, 3, 16, 18, 5, tzinfo=UTC))


def work(builds, names, stage):
    return [
        {"build": builds[name].pk, "stage": builds[name].stages.get(position=stage).pk}
        for name in names
    ]


@pytest.fixture
def day(phone, builds):
    """The requests of the day; each may refer to the answers of those before it."""
    queue = OfflineQueue(phone)
    ribs, top, buff = builds["A"].stages.values_list("position", flat=True)
    queue.add("clock/start/", lambda _: {"at": at("08:40"), "work": work(builds, "AB", ribs)})
    queue.add("clock/stop/", lambda told: {"entry": told[0]["id"], "at": at("09:55")})
    queue.add("clock/start/", lambda _: {"at": at("10:10"), "work": work(builds, "A", top)})
    queue.add(
        "clock/interruptions/",
        lambda told: {
            "entry": told[2]["id"],
            "started_at": at("11:05"),
            "minutes": 12,
            "reason": "enquiry",
        },
    )
    queue.add("clock/stop/", lambda told: {"entry": told[2]["id"], "at": at("12:25")})
    queue.add("clock/start/", lambda _: {"at": at("13:15"), "work": work(builds, "B", ribs)})
    queue.add(
        "clock/settle/",
        lambda told: {"entry": told[5]["id"], "end": at("14:40"), "noticed_at": at("17:50")},
    )
    queue.add(
        "time-entries/",
        lambda _: {
            "day": "2027-03-16",
            "minutes": 140,
            "started_at": at("15:00"),
            "work": work(builds, "C", buff),
        },
    )
    queue.add(
        "time-entries/",
        lambda _: {
            "day": "2027-03-16",
            "minutes": 30,
            "started_at": at("17:20"),
            "reason": "clean-up",
        },
    )
    return queue


def minutes_on(build):
    shares = TimeShare.objects.filter(build=build).values_list("seconds", flat=True)
    return Decimal(sum(shares)) / 60


def test_the_day_is_told_twice_and_counted_once(evening, day, builds, posy):
    first = day.send()
    assert day.send() == first
    entries = list(TimeEntry.objects.filter(day="2027-03-16"))
    assert len(entries) == 6

    worked = {name: minutes_on(build) for name, build in builds.items()}
    assert worked == {"A": Decimal("160.5"), "B": Decimal("122.5"), "C": Decimal(140)}

    billable = sum(entry.seconds for entry in entries if entry.is_billable)
    everything = sum(entry.seconds for entry in entries)
    assert (billable / 60, everything / 60) == (423, 465)
    assert ("7:03" in hours(423), "7:45" in hours(465)) == (True, True)
    assert round(billable_share(billable, everything) * 100, 1) == Decimal("91.0")

    lines = [round_money(RATE * minutes / 60) for minutes in worked.values()]
    assert lines == [Decimal("120.38"), Decimal("91.88"), Decimal("105.00")]
    assert sum(lines) == Decimal("317.26")


def test_the_forgotten_stop_keeps_what_the_clock_said(evening, day, builds, posy):
    told = day.send()[6]
    assert (told["minutes"], told["raw_minutes"]) == ("85", "275")
    assert told["corrections"][0]["why"] == "forgotten stop"
    assert [share["serial"] for share in told["shares"]] == [builds["B"].serial]


def test_the_times_of_phone_and_server_are_both_kept(evening, day, posy):
    day.send()
    first = TimeEntry.objects.get(pk=min(TimeEntry.objects.values_list("pk", flat=True)))
    assert f"{first.device_at:%H:%M}" == "08:40"
    assert f"{first.recorded_at:%H:%M}" == "18:05"
    assert first.skew_seconds == 0
