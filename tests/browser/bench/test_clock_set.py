"""A wrong clock put right before there is signal: the minutes are those that were worked."""

import pytest

from shop.models import TimeEntry

pytestmark = pytest.mark.browser
DAY = "2027-03-16"


def at(phone, shop, shown, real):
    """Let the phone show `shown` at `real` o'clock, until it has looked at its clock."""
    shop.set_clock(f"{DAY} {real}")
    phone.set_clock(f"{DAY} {shown}")
    phone.page.wait_for_timeout(1300)


def worked(phone, shop, shown):
    """Start at 9:00 without signal, with the clock wrong; put it right at 9:20, go on to 9:45."""
    at(phone, shop, shown[0], "09:00")
    phone.page.reload()
    phone.settle()
    phone.cut()
    phone.tap("^C mandolin")
    at(phone, shop, shown[1], "09:20")
    at(phone, shop, "09:20", "09:20")
    at(phone, shop, "09:45", "09:45")


def test_a_clock_that_ran_ahead_and_was_set_back_shows_and_books_the_minutes_worked(
    phone, shop, builds
):
    worked(phone, shop, ("10:00", "10:20"))
    assert phone.sees("0:45.h")
    phone.go("#/more")
    assert phone.sees("by 1:00.h on this phone")
    phone.go("#/")
    phone.tap("^Stop$")
    phone.reconnect()
    phone.settle()
    entry = TimeEntry.objects.get()
    assert f"{entry.started_at:%H:%M}" == "09:00"
    assert round(entry.seconds / 60) == 45


def test_a_clock_that_was_behind_and_set_forward_books_the_minutes_worked(phone, shop, builds):
    worked(phone, shop, ("08:00", "08:20"))
    phone.tap("^Stop$")
    phone.reconnect()
    phone.settle()
    entry = TimeEntry.objects.get()
    assert f"{entry.started_at:%H:%M}" == "09:00"
    assert round(entry.seconds / 60) == 45


def test_a_phone_that_slept_counts_the_time_it_slept(phone, shop, builds):
    worked(phone, shop, ("09:00", "09:20"))
    phone.tap("^Stop$")
    phone.reconnect()
    phone.settle()
    assert round(TimeEntry.objects.get().seconds / 60) == 45


def test_a_clock_set_while_the_page_was_closed_is_told_by_the_next_contact(phone, shop, builds):
    at(phone, shop, "10:00", "09:00")
    phone.page.reload()
    phone.settle()
    phone.cut()
    phone.tap("^C mandolin")
    phone.kill()
    shop.set_clock(f"{DAY} 09:45")
    phone.open()
    at(phone, shop, "09:45", "09:45")
    phone.page.reload()
    phone.page.wait_for_selector("h1")
    phone.tap("^Stop$")
    phone.reconnect()
    phone.settle()
    assert round(TimeEntry.objects.get().seconds / 60) == 45


RIVALS = 3
# Answers to greetings are held until all rivals have theirs, so that none is done before another.
HOLD_ANSWERS = """rivals => {
  const [bare, held] = [window.fetch, []];
  window.fetch = async (asked, ...rest) => {
    const answer = await bare(asked, ...rest);
    if (!String(asked.url || asked).includes("/hello/")) return answer;
    const all = new Promise((open) => held.push(open));
    if (held.length >= rivals) held.forEach((open) => open());
    await all;
    return answer;
  };
}"""
GREET = """async rivals => {
  const module = (name) => import(new URL(name, document.querySelector("script[type=module]").src));
  const [{ greet }, { kept }] = await Promise.all([module("steps.js"), module("db.js")]);
  const token = await kept("token");
  await Promise.all(Array.from({ length: rivals }, () => greet(token)));
}"""


def test_several_greetings_at_once_put_the_minutes_right_once(phone, shop, builds):
    worked(phone, shop, ("08:00", "08:20"))
    phone.tap("^Stop$")
    phone.page.evaluate(HOLD_ANSWERS, RIVALS)
    phone.reconnect()
    phone.page.evaluate(GREET, RIVALS - 1)
    phone.settle()
    entry = TimeEntry.objects.get()
    assert f"{entry.started_at:%H:%M}" == "09:00"
    assert round(entry.seconds / 60) == 45
