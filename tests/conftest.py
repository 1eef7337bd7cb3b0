"""Fixtures for every test: a workshop, and people with roles."""

from functools import lru_cache

import pytest
from django.contrib.auth.models import Group, User
from hypothesis import settings
from rest_framework.test import APIClient

from inventory.base import documents
from inventory.models import Workshop
from quotes.papers.documents import printing
from quotes.quoting.pages.turn_of_day import TurnOfDayMiddleware

settings.register_profile("busy machine", deadline=None)  # a slow moment is no failure
settings.load_profile("busy machine")


@pytest.fixture(scope="session", autouse=True)
def each_paper_once():
    """Lay a paper out once in a run: the same words give the same bytes.

    That they do is seen by the tests that ask for `papers_anew`. A third of all the time of tests
    of quotes went into laying the same papers out again.
    """
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(printing, "_laid_out", lru_cache(maxsize=None)(printing._laid_out))
        patch.setattr(documents, "_written", lru_cache(maxsize=None)(documents._written))
        yield


def anew(lay_out):
    """Return what lays out each paper each time, as the program does."""
    return lay_out.__wrapped__


@pytest.fixture
def papers_anew(each_paper_once, monkeypatch):
    monkeypatch.setattr(printing, "_laid_out", anew(printing._laid_out))
    monkeypatch.setattr(documents, "_written", anew(documents._written))


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
