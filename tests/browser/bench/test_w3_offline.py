"""W3 by hand: a day at the bench with the network cut, told in the evening, and told twice.

16 March 2027; the figures are those of the invented workshop's third walk-through: A 160.5,
B 122.5 and C 140 minutes, 423 of 465 billable.
"""

from decimal import Decimal

import pytest

from shop.models import BuildNote, TimeEntry, TimeShare
from tests.browser.bench.lost import lose_answers

pytestmark = pytest.mark.browser
DAY = "2027-03-16"


def at(phone, time):
    phone.set_clock(f"{DAY} {time}")


def start(phone, whose, stage):
    phone.go("#/")
    phone.tap(f"^Another stage of {whose}$")
    phone.tap(stage)


def minutes_on(build):
    return (
        Decimal(sum(TimeShare.objects.filter(build=build).values_list("seconds", flat=True))) / 60
    )


def the_day(phone, builds):
    a, b = (builds[name].serial for name in "AB")
    at(phone, "08:40")
    phone.tap("^Both of spring pair")
    at(phone, "09:55")
    phone.tap("^Stop$")
    at(phone, "10:10")
    start(phone, a, "Carve and graduate top")
    at(phone, "11:17")
    phone.tap("Interruption")
    phone.write("Minutes", "12")
    phone.tap("^enquiry$")
    phone.tap("Save")
    at(phone, "12:25")
    phone.tap("^Stop$")
    at(phone, "13:15")
    start(phone, b, "Bend ribs")
    at(phone, "14:40")
    phone.go(f"#/build/{builds['B'].pk}")
    phone.tap("New note")
    phone.write("Note", "clamps on")
    phone.tap("Save")
    at(phone, "17:50")
    phone.go("#/")
    assert phone.sees("Still running 4:35.h")
    phone.tap(r"^14:40, last thing recorded: 1:25.h")


def typed_afterwards(phone, builds):
    phone.go("#/catchup")
    phone.write("Or type it", "140 min")
    phone.tap(f"^{builds['C'].serial}")
    phone.tap("^Level and buff$")
    phone.tap("Not for a build, or with")
    phone.write("Started at", "15")
    phone.tap("^Save$")
    phone.arrives("#/day")
    phone.go("#/catchup")
    phone.write("Or type it", "0:30")
    phone.tap("Not for a build, or with")
    phone.tap("^clean-up$")
    phone.write("Started at", "17:20")
    phone.tap("^Save$")


def test_a_day_without_signal_is_told_once_and_right(phone, shop, builds):
    shop.set_clock(f"{DAY} 08:30")
    at(phone, "08:30")
    phone.cut()
    the_day(phone, builds)
    typed_afterwards(phone, builds)
    assert TimeEntry.objects.count() == 0
    phone.kill()
    phone.open()
    phone.settle("10 waiting")

    shop.set_clock(f"{DAY} 18:05")
    at(phone, "18:05")
    lost = lose_answers(phone, 4)
    phone.reconnect()
    phone.settle(timeout=30)
    assert len(lost) == 4

    entries = list(TimeEntry.objects.all())
    assert len(entries) == 6
    assert BuildNote.objects.count() == 1
    worked = {name: minutes_on(build) for name, build in builds.items()}
    assert worked == {"A": Decimal("160.5"), "B": Decimal("122.5"), "C": Decimal(140)}
    billable = sum(entry.seconds for entry in entries if entry.is_billable)
    everything = sum(entry.seconds for entry in entries)
    assert (billable / 60, everything / 60) == (423, 465)
    forgotten = next(entry for entry in entries if entry.corrections.exists())
    assert (forgotten.raw_seconds / 60, forgotten.seconds / 60) == (275, 85)
