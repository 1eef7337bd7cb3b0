"""Hours that can't be right are noticed on the phone, with what would put them right."""

from datetime import timedelta

import pytest

from shop.hours.queries.work import Work
from shop.hours.services.clock import start_clock, stop_clock
from shop.hours.services.entries import log_hours
from shop.models import TimeEntry

pytestmark = pytest.mark.browser
DAY = "2027-03-16"


@pytest.fixture
def noon(phone, shop):
    shop.set_clock(f"{DAY} 12:00")
    phone.set_clock(f"{DAY} 12:00")
    return shop.now()


def clocked(person, build, start, minutes):
    entry = start_clock(person=person, now=start, work=[Work(build=build)])
    return stop_clock(entry=entry, now=start + timedelta(minutes=minutes))


def booked():
    return sum(entry.seconds for entry in TimeEntry.objects.all()) / 60


def test_clocks_of_two_phones_that_overlap_are_shown_and_shortened_in_one_tap(
    phone, noon, builds, posy
):
    clocked(posy, builds["A"], noon - timedelta(minutes=90), 60)
    clocked(posy, builds["C"], noon - timedelta(minutes=60), 60)
    assert booked() == 120
    phone.page.reload()
    assert phone.sees("11:00 to 11:30 is recorded twice")
    phone.tap("^Shorten .* to 0:30")
    phone.settle()
    assert booked() == 90
    assert phone.page.get_by_text("is recorded twice").count() == 0


def test_two_builds_at_once_may_both_be_right(phone, noon, builds, posy):
    clocked(posy, builds["A"], noon - timedelta(minutes=90), 60)
    clocked(posy, builds["C"], noon - timedelta(minutes=60), 60)
    phone.page.reload()
    phone.tap("^Leave both$")
    phone.page.reload()
    phone.settle()
    assert phone.page.get_by_text("is recorded twice").count() == 0
    assert booked() == 120


def test_a_day_longer_than_anybody_works_is_told_on_phone_and_desk(
    phone, noon, builds, posy, client
):
    for hours in (9, 12):
        work = [Work(build=builds["C"])]
        log_hours(person=posy, day=noon.date(), minutes=hours * 60, work=work, now=noon)
    phone.page.reload()
    assert phone.sees("21:00\u00a0h recorded today")
    client.force_login(posy)
    page = client.get(f"/hours/{DAY}/").content.decode()
    assert "Correct what ran on" in page
