import pytest
from django.contrib.auth.models import User
from django.urls import reverse

from inventory.models import Workshop

pytestmark = pytest.mark.django_db

GIVEN = {
    "name": "Turnip Hollow",
    "maker": "Posy Thimblewick",
    "currency": "EUR",
    "units": "metric",
    "time_zone": "Europe/Amsterdam",
    "username": "posy",
    "password": "a-gauge-and-a-line",
}


def test_a_new_shop_is_led_to_its_first_page(client):
    assert client.get("/builds/").url == reverse("first_run")


def test_the_maker_opens_the_shop_and_is_signed_in(client):
    answer = client.post(reverse("first_run"), GIVEN)
    assert answer.status_code == 302
    assert Workshop.objects.get().name == "Turnip Hollow"
    assert client.get(answer.url).context["user"] == User.objects.get(username="posy")


def test_a_password_that_will_not_do_is_told_beside_its_field(client):
    answer = client.post(reverse("first_run"), GIVEN | {"password": "short"})
    assert answer.status_code == 409
    assert "at least 12 characters" in answer.text
    assert not Workshop.objects.exists()


def test_an_open_shop_has_no_first_page(client, workshop):
    assert client.get(reverse("first_run")).url == reverse("today")


def test_signing_in_and_out(client, posy):
    posy.set_password("a-gauge-and-a-line")
    posy.save()
    signed_in = client.post(
        reverse("login"), {"username": "posy", "password": "a-gauge-and-a-line"}
    )
    assert signed_in.url == reverse("today")
    assert client.post(reverse("logout")).url == reverse("login")
    assert client.get(reverse("today")).url.startswith(reverse("login"))


def test_anybody_may_sign_out(client, looker_on):
    client.force_login(looker_on)
    assert client.post(reverse("logout")).status_code == 302
