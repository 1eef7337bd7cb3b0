"""Pairing, and cutting a phone off."""

import pytest
from django.utils import timezone

from inventory.models import Reason, StockEntry
from shop.devices.services import make_pairing_code, revoke_token
from shop.models import Device

pytestmark = pytest.mark.browser


def test_a_code_in_the_address_pairs_and_leaves_no_trace(phone, shop):
    assert Device.objects.get().name == "bench phone"
    assert phone.page.url == f"{shop.url}/bench/"
    token = phone.page.evaluate(
        "import('/static/shop/bench/db.js').then(({ kept }) => kept('token'))"
    )
    assert len(token) == 64
    assert not [line for line in shop.lines if phone.code in line or token in line]
    assert phone.page.evaluate("JSON.stringify([localStorage, sessionStorage])").find(token) < 0


def test_a_code_may_be_typed(new_phone, shop, posy):
    phone = new_phone()
    revoke_token(token=Device.objects.get().token, now=timezone.now())
    phone.page.evaluate("dispatchEvent(new Event('online'))")
    phone.settle("Disconnected")
    phone.go("#/pair")
    phone.write("Code", "2222-2222")
    phone.tap("^Pair$")
    assert phone.sees("wrong, used or more than ten minutes old")
    code = make_pairing_code(user=posy, name="bench phone", now=shop.now())[1]
    phone.write("Code", code[:4].lower() + " " + code[4:].lower())
    phone.tap("^Pair$")
    phone.settle()


def test_a_phone_that_was_cut_off_keeps_what_waits_and_sends_it_once_paired_again(
    phone, shop, stock, posy
):
    phone.cut()
    phone.go(f"#/material/{stock['wire'].pk}")
    phone.write("Quantity, m", "0.4")
    phone.tap("^Draw$")
    revoke_token(token=Device.objects.get().token, now=timezone.now())
    phone.reconnect()
    phone.settle("Disconnected")
    phone.go("#/waiting")
    assert phone.sees("This phone was disconnected at the desk")
    assert phone.states() == ["waiting"]
    assert not StockEntry.objects.filter(reason=Reason.DRAWN).exists()
    phone.pair(posy)
    phone.settle()
    [entry] = StockEntry.objects.filter(reason=Reason.DRAWN)
    assert -entry.quantity == 400


def test_a_label_opens_its_piece(phone, stock):
    number = stock["spruce"].lots.first().number
    phone.page.goto(f"/bench/p/{number}/")
    assert phone.sees("Sitka spruce top, mandolin")
    assert phone.page.url.endswith(f"/bench/#/piece/{number}")


def test_the_page_opens_and_works_without_signal(phone, shop, stock):
    phone.settle()
    phone.cut()
    shop.stop()
    phone.kill()
    phone.open()
    assert phone.sees("Both of spring pair")
    number = stock["spruce"].lots.first().number
    phone.kill()
    phone.open(f"/bench/p/{number}/")
    assert phone.sees("Sitka spruce top, mandolin")
    shop.start()


def test_a_new_version_arrives_without_losing_the_queue(phone, shop, stock, monkeypatch):
    from shop.devices.pages import bench

    phone.cut()
    phone.go(f"#/material/{stock['wire'].pk}")
    phone.write("Quantity, m", "0.4")
    phone.tap("^Draw$")
    shop.stop()
    old = bench.bench_files()
    new = bench.Files(paths=old.paths, version="0123456789ab")
    monkeypatch.setattr(bench, "bench_files", lambda: new)
    phone.reconnect()
    phone.page.route("**/api/**", lambda route: route.abort())
    shop.start()
    phone.page.evaluate("navigator.serviceWorker.getRegistration().then((own) => own.update())")
    phone.go("#/more")
    assert phone.sees("Use the new version now")
    phone.tap("Use the new version now")
    phone.page.wait_for_function("document.documentElement.dataset.version === '0123456789ab'")
    assert phone.states() in (["waiting"], ["done"])
    phone.page.unroute("**/api/**")
    phone.settle()
    [entry] = StockEntry.objects.filter(reason=Reason.DRAWN)
    assert -entry.quantity == 400
