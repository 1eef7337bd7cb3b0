"""Making again at the bench: marked on the running clock or typed in, also without signal."""

import pytest

from shop.hours.queries.work import Work
from shop.hours.services.entries import log_hours
from shop.models import TimeEntry

pytestmark = pytest.mark.browser


def test_a_running_clock_is_marked_in_one_tap_without_signal(phone, shop, builds):
    phone.cut()
    phone.tap("^C mandolin")
    phone.tap("^Rework$")
    assert phone.sees("Running, rework")
    phone.tap("^Stop$")
    phone.reconnect()
    phone.settle()
    entry = TimeEntry.objects.get()
    assert (entry.is_remake, entry.is_running) == (True, False)
    assert entry.corrections.get().before["is_remake"] is False


def test_the_mark_is_taken_back_by_the_same_button(phone, shop, builds):
    phone.tap("^C mandolin")
    phone.settle()
    phone.tap("^Rework$")
    phone.settle()
    assert TimeEntry.objects.get().is_remake is True
    phone.page.reload()
    assert phone.sees("Running, rework")
    phone.tap("^Not rework$")
    phone.settle()
    assert TimeEntry.objects.get().is_remake is False


def test_the_next_clock_is_not_making_again(phone, shop, builds):
    phone.tap("^C mandolin")
    phone.tap("^Rework$")
    phone.tap("^A mandolin")
    phone.settle()
    marks = dict(TimeEntry.objects.values_list("shares__build__title", "is_remake"))
    assert marks == {"C mandolin": True, "A mandolin": False}


def test_time_that_cannot_be_billed_is_not_offered_it(phone, shop, builds):
    phone.tap("^Not for a build$")
    phone.tap("^clean-up$")
    assert phone.sees("^Running$")
    assert phone.control("^Rework$").count() == 0
    phone.settle()


def test_typed_hours_are_marked_by_a_tap(phone, shop, builds):
    phone.go("#/catchup")
    phone.tap("^1:30$")
    phone.tap("C mandolin$", within=".choice[aria-label=Builds]")
    phone.tap("^Rework after a failure$")
    phone.tap("^Save$")
    phone.shift_clock(20)
    phone.settle()
    entry = TimeEntry.objects.get()
    assert (entry.is_remake, entry.seconds) == (True, 5400)
    assert phone.sees("rework")


def test_one_line_marks_them_by_a_word(phone, shop, builds):
    phone.go("#/catchup")
    phone.tap("In one line instead")
    phone.write("In one line", "1:30, level and buff, C, again")
    phone.tap("Save")
    phone.shift_clock(20)
    phone.settle()
    assert TimeEntry.objects.get().is_remake is True


def test_an_entry_of_the_day_is_marked_afterwards(phone, shop, builds, posy):
    work = [Work(build=builds["C"])]
    now = shop.now()
    entry = log_hours(person=posy, day=now.date(), minutes=60, work=work, now=now)
    phone.page.reload()
    phone.settle()
    phone.go(f"#/entry/{entry.pk}")
    phone.tap("^Rework after a failure$")
    phone.tap("^Save$")
    phone.settle()
    entry.refresh_from_db()
    assert (entry.is_remake, entry.seconds) == (True, 3600)
