"""Fixtures for every test: a workshop, and people with roles."""

import pytest
from django.contrib.auth.models import Group, User
from hypothesis import settings
from rest_framework.test import APIClient

from inventory.models import Workshop
from quotes.quoting.pages.turn_of_day import TurnOfDayMiddleware

settings.register_profile("busy machine", deadline=None)  # a slow moment is no failure
settings.load_profile("busy machine")


@pytest.fixture(autouse=True)
def same_day(monkeypatch):
    """No day turns in a test, so that its first request asks as much as the next ones."""
    monkeypatch.setattr(TurnOfDayMiddleware, "is_due", lambda self, on: False)


@pytest.fixture
def workshop(db):
    return Workshop.objects.create(
        pk=1, name="Turnip Hollow", maker="Posy Thimblewick", currency="EUR", tax_registered=True
    )


def make_person(name, role):
    user = User.objects.create_user(name, password=None)
    user.groups.add(Group.objects.get_or_create(name=role)[0])
    return user


@pytest.fixture
def posy(workshop):
    return make_person("posy", "owner")


@pytest.fixture
def looker_on(workshop):
    return make_person("gertie", "looker-on")


@pytest.fixture
def desk(client, posy):
    """A browser's session with Posy signed in."""
    client.force_login(posy)
    return client


@pytest.fixture
def phone(posy):
    """An API client with Posy signed in."""
    api = APIClient()
    api.force_authenticate(posy)
    return api
