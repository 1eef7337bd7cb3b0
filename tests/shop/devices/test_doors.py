"""The doors of the program: guessing, strange redirects, secrets at rest."""

import pytest
from django.conf import settings
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from knox.models import AuthToken

from inventory.base.roles import OWNER
from shop.devices.services import add_device
from shop.settings import kept_secret
from tests.conftest import make_person

PASSWORD = "posy-likes-spruce"


@pytest.fixture
def known(workshop):
    person = make_person("posy", OWNER)
    person.set_password(PASSWORD)
    person.save()
    return person


def sign_in(client, password=PASSWORD, **more):
    return client.post(reverse("login"), {"username": "posy", "password": password, **more})


def test_guessing_a_password_is_stopped_even_when_the_last_guess_is_right(client, known):
    for guess in range(settings.AXES_FAILURE_LIMIT):
        sign_in(client, f"guess {guess}")
    assert sign_in(client).status_code == 429
    assert "_auth_user_id" not in client.session


def test_the_right_password_opens(client, known):
    assert sign_in(client)["Location"] == reverse("today")


def test_signing_in_never_leads_to_another_house(client, known):
    answer = sign_in(client, next="https://elsewhere.example/")
    assert answer["Location"] == reverse("today")


def test_a_form_without_its_token_is_refused(known):
    assert sign_in(Client(enforce_csrf_checks=True)).status_code == 403


def test_cookies_are_kept_from_scripts_and_other_houses(client, known):
    cookie = sign_in(client).cookies["sessionid"]
    assert cookie["httponly"]
    assert cookie["samesite"] == "Lax"


def test_a_token_is_kept_only_as_its_digest(known):
    _, token = add_device(user=known, name="phone", now=timezone.now())
    kept = AuthToken.objects.get()
    assert token not in {kept.digest, kept.token_key}
    assert len(kept.token_key) < len(token) / 2
    assert User.objects.get().password != PASSWORD


def test_the_secret_is_made_once_and_for_its_owner_only(tmp_path):
    path = tmp_path / "data" / "secret-key"
    assert kept_secret(path) == kept_secret(path)
    assert path.stat().st_mode & 0o777 == 0o600
