"""The day's copy begins at its first request, once, and an owner is told when none is made."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.base.roles import MAKER
from shop.desk.middleware import DailyCopyMiddleware
from tests.conftest import make_person


@pytest.fixture(autouse=True)
def daily(settings, tmp_path, monkeypatch):
    settings.COPIES_DAILY, settings.COPIES_DIR = True, tmp_path
    monkeypatch.setattr(DailyCopyMiddleware, "day", None)


@pytest.fixture
def begun(monkeypatch):
    days = []
    monkeypatch.setattr(
        "shop.desk.middleware.copy_in_the_background", lambda *, on: days.append(on)
    )
    return days


def test_only_the_first_request_of_a_day_begins_a_copy(desk, begun):
    for _ in range(3):
        desk.get("/")
    assert begun == [timezone.localdate()]


def test_without_being_asked_to_nothing_is_copied(desk, begun, settings):
    settings.COPIES_DAILY = False
    desk.get("/")
    assert begun == []


def keep(folder, ago):
    day = timezone.localdate() - timedelta(days=ago)
    (folder / f"gramil-{day}-090000.zip").touch()


@pytest.mark.parametrize(("ago", "told"), [(0, False), (2, False), (3, True)])
def test_an_owner_is_told_when_the_last_copy_is_old(desk, begun, tmp_path, ago, told):
    keep(tmp_path, ago)
    assert ("backup overdue" in desk.get("/").content.decode()) is told


def test_nobody_else_is_told(client, workshop, begun):
    client.force_login(make_person("bram", MAKER))
    assert "backup overdue" not in client.get("/").content.decode()
