"""Each act is in the name of whoever was at the phone when it was tapped."""

import pytest
from django.utils import timezone

from shop.devices.services import revoke_token
from shop.models import Device, TimeEntry
from tests.conftest import make_person

pytestmark = pytest.mark.browser
DAY = "2027-03-16"


def at(phone, shop, time):
    shop.set_clock(f"{DAY} {time}")
    phone.set_clock(f"{DAY} {time}")


@pytest.fixture
def bram(workshop):
    return make_person("bram", "owner")


def work(phone, shop, start, stop):
    at(phone, shop, start)
    phone.go("#/")
    phone.tap("^C mandolin")
    at(phone, shop, stop)
    phone.tap("^Stop$")


def hours():
    rows = TimeEntry.objects.order_by("started_at")
    return [(entry.person.username, entry.seconds / 60) for entry in rows]


def hold_back(phone):
    phone.page.route("**/api/v1/clock/**", lambda route: route.abort())


def let_go(phone):
    phone.page.unroute("**/api/v1/clock/**")


def test_what_waits_goes_out_in_the_name_of_who_did_it(phone, shop, builds, bram):
    hold_back(phone)
    work(phone, shop, "08:00", "08:42")
    phone.code = None
    pair(phone, bram)
    work(phone, shop, "09:00", "09:10")
    assert phone.states() == ["waiting"] * 4
    let_go(phone)
    phone.settle()
    assert hours() == [("posy", 42), ("bram", 10)]


def pair(phone, user):
    from shop.devices.services import make_pairing_code

    code = make_pairing_code(user=user, name="bench phone", now=phone.shop.now())[1]
    phone.go("#/pair")
    phone.write("Code", code)
    phone.tap("^Pair$")
    phone.page.wait_for_selector(".tile")


def test_what_somebody_did_who_was_cut_off_waits_for_them(phone, shop, builds, bram, posy):
    hold_back(phone)
    work(phone, shop, "08:00", "08:42")
    pair(phone, bram)
    revoke_token(token=Device.objects.get(token__user=posy).token, now=timezone.now())
    at(phone, shop, "09:00")
    let_go(phone)
    phone.go("#/")
    phone.tap("^C mandolin")
    assert phone.sees("^Running$")
    phone.settle("2 waiting")  # before both clocks are moved on, one after the other
    at(phone, shop, "09:10")
    phone.tap("^Stop$")
    phone.settle("2 waiting")
    phone.go("#/waiting")
    assert phone.sees("waits until the phone is paired as posy")
    assert hours() == [("bram", 10)]
    pair(phone, posy)
    phone.settle()
    assert hours() == [("posy", 42), ("bram", 10)]


def test_two_people_take_turns_on_one_phone_without_signal(phone, shop, builds, bram):
    pair(phone, bram)
    phone.settle()
    phone.cut()
    at(phone, shop, "08:00")
    phone.tap("^posy$", within="main")
    phone.tap("^C mandolin")
    at(phone, shop, "08:30")
    phone.tap("^bram$", within="main")
    assert phone.sees("No clock running")
    phone.tap("^A mandolin")
    at(phone, shop, "09:00")
    phone.tap("^Stop$")
    phone.tap("^posy$", within="main")
    phone.tap("^Stop$")
    phone.reconnect()
    phone.settle()
    assert hours() == [("posy", 60), ("bram", 30)]
