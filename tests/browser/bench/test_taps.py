"""After each tap the screen says what was done, and a second tap does not do it again."""

import pytest

from inventory.models import Reason, StockEntry
from shop.models import TimeEntry

pytestmark = pytest.mark.browser
TWICE = """words => {
  const own = [...document.querySelectorAll("main button")].find((one) =>
    one.checkVisibility() && one.textContent.trim().startsWith(words));
  own.click();
  own.click();
}"""


def read(phone):
    return phone.page.locator("main").inner_text()


def drawn(lot):
    return StockEntry.objects.filter(lot=lot, reason=Reason.DRAWN).count()


def test_a_free_piece_drawn_for_a_build_is_shown_as_drawn_at_once(phone, free, builds):
    phone.cut()
    phone.go(f"#/piece/{free.number}")
    phone.tap("Draw for a build")
    phone.tap(f"^{builds['C'].serial}")
    assert phone.sees("^drawn$", timeout=1000)
    assert "Draw for a build" not in read(phone)
    phone.tap("^Undo$", within="#undo")
    assert phone.control("Draw for a build", "main").count() == 1
    phone.reconnect()
    phone.settle()
    assert drawn(free) == 0


@pytest.mark.parametrize("is_cut", [True, False], ids=["without signal", "with signal"])
def test_a_button_hit_twice_draws_a_piece_once(phone, free, builds, is_cut):
    if is_cut:
        phone.cut()
    phone.go(f"#/piece/{free.number}")
    phone.tap("Draw for a build")
    phone.page.evaluate(TWICE, builds["C"].serial)
    assert phone.sees("^drawn$", timeout=1000)
    phone.reconnect()
    phone.settle()
    assert (drawn(free), phone.states()) == (1, ["done"])


def test_a_piece_that_was_drawn_is_not_drawn_for_another_build(phone, free, builds):
    """Two buttons of one list, hit one after the other before the screen was drawn anew."""
    phone.cut()
    phone.go(f"#/piece/{free.number}")
    phone.tap("Draw for a build")
    phone.page.evaluate(
        """() => document.querySelectorAll("main details[open] .item")
            .forEach((one) => one.click())"""
    )
    assert phone.sees("^drawn$", timeout=1000)
    phone.reconnect()
    phone.settle()
    assert drawn(free) == 1


def test_a_piece_put_aside_says_for_whom_at_once(phone, free, builds):
    phone.cut()
    phone.go(f"#/piece/{free.number}")
    phone.tap("Reserve for a build")
    phone.page.evaluate(TWICE, builds["C"].serial)
    assert phone.sees(f"^Draw for {builds['C'].serial}", timeout=1000)
    phone.reconnect()
    phone.settle()
    assert free.promises.filter(outstanding__gt=0).count() == 1


def test_a_stop_hit_twice_is_one_act(phone, builds):
    phone.cut()
    phone.tap("^C mandolin")
    phone.page.evaluate(TWICE, "Stop")
    phone.reconnect()
    phone.settle()
    assert (phone.states(), TimeEntry.objects.count()) == (["done", "done"], 1)


def test_tiles_show_the_serial_whole(phone, builds):
    for width in (390, 320):
        phone.page.set_viewport_size({"width": width, "height": 800})
        cut = phone.page.evaluate(
            """() => [...document.querySelectorAll(".tile, .tile span")].filter((one) =>
                 one.scrollWidth > one.clientWidth
                 && getComputedStyle(one).display !== "inline").length"""
        )
        serial = phone.page.locator(".serial").first.bounding_box()
        tile = phone.page.locator(".tile").first.bounding_box()
        assert (cut, serial["height"] < 40) == (0, True)
        assert serial["x"] + serial["width"] <= tile["x"] + tile["width"]
