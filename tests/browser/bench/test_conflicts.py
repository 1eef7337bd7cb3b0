"""What clashes with the work of others is told on the phone where it was done."""

from decimal import Decimal

import pytest
from knox.models import AuthToken

from inventory.models import StockEntry
from shop.builds.services.stock import draw_for_build, reserve_for_build
from shop.devices.services import revoke_token

pytestmark = pytest.mark.browser


@pytest.fixture
def reserved(stock):
    return stock["spruce"].lots.filter(promises__outstanding__gt=0).get()


def draw_on(phone, lot, build, heading):
    phone.go(f"#/piece/{lot.number}")
    phone.tap(f"^{heading}$")
    phone.tap(f"^{build.serial}")


def test_a_draw_of_what_is_reserved_says_for_whom_it_was(phone, reserved, builds):
    phone.cut()
    draw_on(phone, reserved, builds["C"], "Draw for another build")
    phone.reconnect()
    phone.settle("1 to reconcile")
    phone.go("#/waiting")
    assert phone.sees(f"Also recorded for {builds['A'].serial}")
    phone.tap("^Leave as recorded$")
    phone.settle()


def test_a_piece_drawn_elsewhere_meanwhile_can_be_given_back_where_it_clashed(
    phone,
    shop,
    free,
    builds,
):
    phone.cut()
    draw_for_build(
        build=builds["B"], material=free.material, lot=free, quantity=Decimal(1), now=shop.now()
    )
    draw_on(phone, free, builds["C"], "Draw for a build")
    phone.reconnect()
    phone.settle("1 to reconcile")
    phone.go("#/waiting")
    assert phone.sees(f"Also recorded for {builds['B'].serial}")
    phone.tap("^Undo this draw$", within="main")
    phone.settle()
    assert StockEntry.objects.filter(to_reconcile=True, reconciled_at=None).count() == 0


def test_a_piece_is_asked_for_anew_as_its_screen_is_opened(phone, shop, free, builds):
    phone.settle()
    reserve_for_build(build=builds["C"], now=shop.now())
    lot = free.material.lots.filter(promises__holder=builds["C"].holder).get()
    phone.go(f"#/piece/{lot.number}")
    assert phone.sees(f"Draw for {builds['C'].serial}")
    assert phone.page.locator("dt", has_text="As of").count() == 1


def test_a_count_far_from_the_books_asks_once(phone, stock):
    phone.go(f"#/material/{stock['wire'].pk}")
    phone.tap("^Count$")
    phone.write("Quantity counted, m", "70")
    phone.tap("^Save$")
    assert phone.sees("70 m is far from what is recorded")
    assert phone.states() == []
    phone.tap("^Save$")
    phone.settle()
    assert phone.states() == ["done"]


def test_a_phone_that_was_cut_off_shows_nothing_and_forgets_all_when_told_to(phone, shop, builds):
    phone.settle()
    phone.cut()
    phone.tap("^C mandolin")
    revoke_token(token=AuthToken.objects.get(), now=shop.now())
    phone.reconnect()
    phone.settle("Disconnected")
    for place in ("#/", "#/stock", "#/builds"):
        phone.go(place)
        assert "mandolin" not in phone.page.locator("body").inner_text()
    phone.tap("^Delete everything from this phone$")
    assert phone.sees("1 unsent entry would be lost")
    phone.tap("^Delete all the same$")
    assert phone.sees("^Pair this phone$")
    assert phone.queue() == []
