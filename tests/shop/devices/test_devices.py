"""Devices in the API."""

import pytest
from django.utils import timezone
from rest_framework.test import APIClient

from shop.devices.services import make_pairing_code
from shop.models import Device

pytestmark = pytest.mark.django_db
HELLO = "/api/v1/devices/hello/"


@pytest.fixture
def paired(posy):
    """An API client with the token of a freshly paired phone."""
    code = make_pairing_code(user=posy, name="bench phone", now=timezone.now())[1]
    api = APIClient()
    answer = api.post("/api/v1/devices/pair/", {"code": code})
    assert answer.status_code == 201
    assert answer["Cache-Control"] == "no-store"
    api.credentials(HTTP_AUTHORIZATION=f"Token {answer.data['token']}")
    return api


def test_a_paired_phone_knows_whom_it_speaks_for(paired):
    hello = paired.post(HELLO, {"version": "1a2b"}).data
    assert (hello["user_name"], hello["role"]) == ("posy", "owner")
    assert (hello["workshop"]["name"], hello["device"]["name"]) == ("Turnip Hollow", "bench phone")
    assert Device.objects.get().version == "1a2b"


def test_a_phone_that_was_cut_off_is_told_so(paired, phone):
    device = phone.get("/api/v1/devices/").data["results"][0]
    assert phone.delete(f"/api/v1/devices/{device['id']}/").status_code == 204
    assert paired.post(HELLO).status_code == 401


def test_a_wrong_code_is_declined_in_a_sentence(workshop):
    answer = APIClient().post("/api/v1/devices/pair/", {"code": "2222-2222"})
    assert answer.status_code == 409
    assert answer.data["detail"].endswith("Make a new one on the computer.")


def test_nobody_sees_the_devices_of_others(paired, looker_on):
    api = APIClient()
    api.force_authenticate(looker_on)
    assert api.get("/api/v1/devices/").data["count"] == 0
    assert api.delete(f"/api/v1/devices/{Device.objects.get().pk}/").status_code == 404


@pytest.mark.parametrize("rows", [1, 25])
def test_the_list_takes_the_same_queries_however_long(phone, posy, rows, django_assert_num_queries):
    from shop.devices.services import add_device

    for number in range(rows):
        add_device(user=posy, name=f"phone {number}", now=timezone.now())
    with django_assert_num_queries(4):
        assert phone.get("/api/v1/devices/").data["count"] == rows
