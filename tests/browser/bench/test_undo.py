"""Taking back an act takes along what hangs on it, or mends it, and says so first."""

import pytest

from shop.models import TimeEntry

pytestmark = pytest.mark.browser
DAY = "2027-03-16"


def at(phone, shop, time):
    shop.set_clock(f"{DAY} {time}")
    phone.set_clock(f"{DAY} {time}")


def booked():
    """Minutes by the title of the build, of what is not undone."""
    minutes = {}
    for entry in TimeEntry.objects.exclude(reason="undone"):
        for share in entry.shares.all():
            name = share.build.title[0]
            minutes[name] = minutes.get(name, 0) + (share.seconds or 0) / 60
    return minutes


@pytest.fixture
def offline(phone, shop):
    at(phone, shop, "08:00")
    phone.cut()
    return phone


def undo_waiting(phone, words):
    phone.go("#/waiting")
    phone.tap(f"^Undo: {words}", within="main")


def test_undoing_a_switch_gives_its_stop_to_the_clock_before_it(offline, shop, builds):
    phone = offline
    for time, tap in (("08:00", "^C mandolin"), ("08:30", "^A mandolin"), ("09:15", "^Stop$")):
        at(phone, shop, time)
        phone.tap(tap)
    undo_waiting(phone, "Switched to")
    assert phone.sees("Stopped .* becomes: Stopped .*" + builds["C"].serial)
    assert phone.states() == ["waiting"] * 3
    phone.tap("^Undo all of it$")
    assert phone.sees("^2 waiting$")
    phone.go("#/")
    assert phone.sees("No clock running")
    phone.reconnect()
    phone.settle()
    assert (booked(), TimeEntry.objects.filter(seconds=None).count()) == ({"C": 75}, 0)


def test_undoing_a_plain_start_says_that_its_stop_goes_along(offline, shop, builds):
    phone = offline
    phone.tap("^C mandolin")
    at(phone, shop, "08:30")
    phone.tap("^Stop$")
    undo_waiting(phone, "Started")
    assert phone.sees("Also undone: Stopped")
    phone.tap("^Cancel$")
    assert phone.states() == ["waiting"] * 2
    undo_waiting(phone, "Started")
    phone.tap("^Undo all of it$")
    assert phone.sees("^Nothing waiting$")
    phone.reconnect()
    phone.settle()
    assert TimeEntry.objects.count() == 0


def test_a_start_that_was_followed_is_not_taken_back_by_its_stop(phone, shop, builds):
    """Both were sent: a counter-act would take back the last tap, which is another."""
    phone.tap("^C mandolin")
    phone.tap("^Stop$")
    phone.settle()
    phone.go("#/waiting")
    assert phone.control("^Undo: Stopped", "main").count() == 1
    assert phone.control("^Undo: Started", "main").count() == 0
