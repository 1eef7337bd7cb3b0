"""What a screen shows follows what was sent, however the answers fall, and no tap is lost to it."""

import pytest

from shop.hours.services.entries import log_hours
from shop.models import TimeEntry

pytestmark = pytest.mark.browser


@pytest.fixture
def slow_entries(phone):
    """The next answer about recent hours is on its way until it is let go."""
    held = []

    def hold(route):
        if held:
            return route.continue_()
        held.append((route, route.fetch()))
        return None

    phone.page.route("**/api/v1/time-entries/?*", hold)
    return held


def wait_for(phone, condition):
    for _ in range(600):
        if condition():
            return
        phone.page.wait_for_timeout(50)
    raise AssertionError("it never came about")


def in_list(phone):
    return phone.page.locator("main a.item", has_text="rework")


def test_what_is_sent_while_the_hours_are_read_is_shown_without_waiting(phone, slow_entries):
    phone.page.evaluate("dispatchEvent(new Event('online'))")
    wait_for(phone, lambda: slow_entries)
    phone.go("#/catchup")
    phone.tap("^1:30$")
    phone.tap("C mandolin$", within=".choice[aria-label=Builds]")
    phone.tap("^Rework after a failure$")
    phone.tap("^Save$")
    phone.shift_clock(20)
    phone.page.evaluate("import('/static/shop/bench/queue.js').then(({ send }) => send())")
    wait_for(phone, lambda: TimeEntry.objects.exists() and phone.states() == ["done"])
    assert phone.sees("Sent just now")
    route, answer = slow_entries[0]
    route.fulfill(response=answer)
    in_list(phone).wait_for(timeout=20_000)
    assert phone.page.get_by_text("Sent just now").count() == 0


def test_a_new_picture_does_not_come_between_a_finger_and_its_tap(phone, builds):
    tile = phone.control("^C mandolin").element_handle()
    tile.dispatch_event("pointerdown")
    tell = "import('/static/shop/bench/state.js').then(({ tell }) => tell())"
    phone.page.evaluate(tell)
    assert tile.evaluate("(one) => one.isConnected")
    tile.dispatch_event("pointerup", {"bubbles": True})
    tile.evaluate("(one) => one.click()")
    assert phone.sees("^Running$")


def test_a_picture_held_back_by_a_field_comes_when_the_field_is_left(phone, shop, builds, posy):
    phone.go("#/stock")
    phone.page.locator("main input").focus()
    phone.go("#/day")
    assert phone.sees("No hours recorded")
    phone.page.evaluate(
        """() => {
          const field = document.createElement("input");
          document.getElementById("screen").append(field);
          field.focus();
        }"""
    )
    now = shop.now()
    log_hours(
        person=posy,
        day=now.date(),
        minutes=60,
        work=[],
        is_billable=False,
        reason="clean-up",
        now=now,
    )
    with phone.page.expect_response("**/api/v1/time-entries/?*"):
        phone.page.evaluate("dispatchEvent(new Event('online'))")
    phone.page.wait_for_timeout(300)
    assert phone.sees("No hours recorded")
    phone.page.evaluate("document.activeElement.blur()")
    phone.page.locator("main a.item", has_text="clean-up").wait_for(timeout=5000)
