"""Pairing: a code works once, for ten minutes, and can't be guessed at leisure."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.base.refusals import Refusal
from shop.base.calc import written
from shop.devices.services import (
    MOST_MISSES,
    make_pairing_code,
    pair_device,
    record_device_contact,
    revoke_token,
)
from shop.models import Device, PairingCode
from tests.shop.factories import NOW

pytestmark = pytest.mark.django_db


@pytest.fixture
def code(posy):
    return make_pairing_code(user=posy, name="bench phone", now=NOW)[1]


def test_a_code_gives_a_token_to_the_one_who_made_it(code, posy):
    device, token = pair_device(code=written(code).lower(), now=NOW)
    assert (device.name, device.token.user, len(token)) == ("bench phone", posy, 64)


def test_neither_code_nor_token_is_kept_as_it_is(code):
    device, token = pair_device(code=code, now=NOW)
    assert token not in str(vars(device.token))
    assert not PairingCode.objects.filter(digest__contains=code).exists()


def test_a_code_works_once(code):
    pair_device(code=code, now=NOW)
    with pytest.raises(Refusal, match="wrong, used or more than ten minutes old"):
        pair_device(code=code, now=NOW)
    assert Device.objects.count() == 1


@pytest.mark.parametrize(("minutes", "works"), [(9, True), (10, False)])
def test_a_code_works_for_ten_minutes(code, minutes, works):
    later = NOW + timedelta(minutes=minutes)
    if works:
        assert pair_device(code=code, now=later)
    else:
        with pytest.raises(Refusal):
            pair_device(code=code, now=later)


def test_a_new_code_ends_the_one_before(code, posy):
    make_pairing_code(user=posy, name="bench phone", now=NOW)
    with pytest.raises(Refusal):
        pair_device(code=code, now=NOW)


def test_twenty_wrong_codes_close_the_right_one(code):
    for _ in range(MOST_MISSES):
        with pytest.raises(Refusal):
            pair_device(code="22222222", now=NOW)
    with pytest.raises(Refusal):
        pair_device(code=code, now=NOW)


def test_a_device_has_a_name(posy):
    with pytest.raises(Refusal, match="Name the device"):
        make_pairing_code(user=posy, name=" ", now=NOW)


def test_greeting_notes_the_skew(code):
    device, _ = pair_device(code=code, now=NOW)
    record_device_contact(device=device, now=NOW, sent=NOW + timedelta(hours=1), version="abc")
    device.refresh_from_db()
    assert (device.last_seen_at, device.skew_seconds, device.version) == (NOW, -3600, "abc")


def test_what_is_cut_off_is_gone(code):
    device, _ = pair_device(code=code, now=NOW)
    revoke_token(token=device.token, now=timezone.now())
    assert not Device.objects.exists()
