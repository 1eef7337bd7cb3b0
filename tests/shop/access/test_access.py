"""Who may come in: people, passwords, sessions, devices, and the log of it."""

import io
import sys
from datetime import timedelta
from importlib import import_module
from ipaddress import ip_network

import pytest
from axes.models import AccessAttempt
from django.apps import apps
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.models import User
from django.core.management import call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from knox.models import AuthToken
from rest_framework.test import APIClient

from inventory.base.refusals import Refusal
from shop.access.calc import client_address
from shop.access.forms import MyPasswordForm
from shop.access.pages.confirm import ConfirmForm
from shop.access.services.people import add_person, admit_again, end_access, set_password, set_role
from shop.copies.queries import LETS_SOMEBODY_IN
from shop.devices.calc import is_bench_work
from shop.devices.services import add_device
from shop.models import AccessEntry, CalendarLink
from tests.conftest import make_person

pytestmark = pytest.mark.django_db
SECRET, NEW = "spruce-and-snow", "maple-after-rain"
NOW = timezone.now()


@pytest.fixture
def bram(workshop):
    return set_password(person=make_person("bram", "maker"), password=SECRET, now=timezone.now())


def signed_in(password=SECRET):
    browser = Client()
    answer = browser.post("/login/", {"username": "bram", "password": password})
    return browser if answer.status_code == 302 else None


def acts():
    return list(AccessEntry.objects.order_by("pk").values_list("act", flat=True))


@pytest.mark.parametrize(
    ("password", "why"),
    [
        ("short", "at least 12"),
        ("megaparol12345", "most used"),
        ("bram-thimble-bram", "too similar"),
    ],
    ids=["short", "common", "own name"],
)
def test_a_weak_password_is_refused_with_the_reason(bram, password, why):
    bram.username = "bram-thimble-bram" if "bram" in password else bram.username
    with pytest.raises(Refusal, match=why):
        set_password(person=bram, password=password, now=NOW)


def test_my_new_password_ends_my_other_sessions_and_keeps_this_one(bram):
    here, elsewhere = signed_in(), signed_in()
    data = {"current": SECRET, "password": NEW, "again": NEW}
    assert here.post(reverse("my_password"), {**data, "current": "wrong"}).status_code == 409
    assert here.post(reverse("my_password"), data).status_code == 302
    assert here.get(reverse("my_access")).status_code == 200
    assert elsewhere.get(reverse("my_access")).status_code == 302
    assert signed_in() is None
    assert signed_in(NEW)


def test_my_other_sessions_are_listed_and_ended(bram):
    here, elsewhere = signed_in(), signed_in()
    assert len(here.get(reverse("my_access")).context["sessions"]) == 2
    here.post(reverse("my_sessions_end"))
    assert elsewhere.get(reverse("my_access")).status_code == 302
    assert len(here.get(reverse("my_access")).context["sessions"]) == 1


def test_ended_access_ends_sessions_tokens_and_links_at_once(desk, bram):
    browser = signed_in()
    _, token = add_device(user=bram, name="phone", now=NOW)
    link = CalendarLink.objects.create(secret_sha256="0" * 64, made_at=NOW)
    phone = APIClient(HTTP_AUTHORIZATION=f"Token {token}")
    assert phone.get("/api/v1/clock/").status_code == 200
    page = reverse("person_end", args=[bram.pk])
    assert "stays under their name" in desk.get(page).content.decode()
    assert desk.post(page).status_code == 302
    assert browser.get(reverse("my_access")).status_code == 302
    assert phone.get("/api/v1/clock/").status_code == 401
    assert signed_in() is None
    link.refresh_from_db()
    assert link.revoked_at is not None
    assert User.objects.filter(username="bram").exists()
    admit_again(person=User.objects.get(username="bram"), password=NEW, now=NOW)
    assert signed_in(NEW)


@pytest.mark.parametrize("act", [end_access, lambda **given: set_role(role="maker", **given)])
def test_the_only_owner_stays_an_owner(posy, act):
    with pytest.raises(Refusal, match="only owner"):
        act(person=posy, now=NOW)
    add_person(username="hazel", password=SECRET, role="owner", now=NOW)
    act(person=posy, now=NOW)


@pytest.mark.parametrize("name", ["person_role", "person_password", "person_end"])
def test_only_an_owner_reads_or_sends_the_pages_of_people(client, bram, name):
    client.force_login(bram)
    page = reverse(name, args=[bram.pk])
    assert client.get(page).status_code == 403
    assert client.post(page, {"role": "owner", "password": NEW}).status_code == 403
    assert [client.get(reverse(each)).status_code for each in ("people", "access_log")] == [
        403,
        403,
    ]


def test_the_deepest_rights_ask_for_the_password_again(client, bram):
    set_role(person=bram, role="owner", now=NOW)
    client.post("/login/", {"username": "bram", "password": SECRET})
    assert client.get(reverse("everything")).status_code == 200
    session = client.session
    session["confirmed_at"] -= timedelta(minutes=11).total_seconds()
    session.save()
    for page in (reverse("everything"), reverse("person_add")):
        answer = client.post(page)
        assert answer.url.startswith(reverse("confirm"))
    assert client.get("/api/v1/everything/").status_code == 403
    assert client.post(answer.url, {"password": "wrong"}).status_code == 409
    assert client.post(answer.url, {"password": SECRET}).url == reverse("person_add")
    assert client.get(reverse("person_add")).status_code == 200


def test_a_confirmed_password_leads_to_no_strange_address(client, bram):
    client.force_login(bram)
    page = f"{reverse('confirm')}?next=https://elsewhere.example/"
    assert client.post(page, {"password": SECRET}).url == reverse("today")


def test_a_phone_of_the_owner_does_the_work_of_the_bench_only(posy):
    _, bench = add_device(user=posy, name="phone", now=NOW)
    _, full = add_device(user=posy, name="script", now=NOW, rights="all")
    for token, status in ((bench, 403), (full, 200)):
        machine = APIClient(HTTP_AUTHORIZATION=f"Token {token}")
        assert machine.get("/api/v1/clients/").status_code == status
        assert machine.get("/api/v1/builds/?open=true").status_code == 200


@pytest.mark.parametrize(("button", "status"), [("bench", 403), ("all", 200)])
def test_the_buttons_make_tokens_with_the_rights_they_name(desk, button, status):
    sent = desk.post(reverse("devices"), {"name": "script", "token": button})
    assert sent["Cache-Control"] == "no-store"
    token = sent.context["token"]
    assert token in sent.content.decode()
    assert token not in desk.get(reverse("devices")).content.decode()
    machine = APIClient(HTTP_AUTHORIZATION=f"Token {token}")
    assert machine.get("/api/v1/clients/").status_code == status
    assert machine.get("/api/v1/clock/").status_code == 200


def test_a_token_with_all_rights_needs_the_password_again(desk):
    session = desk.session
    session["confirmed_at"] = 0
    session.save()
    sent = desk.post(reverse("devices"), {"name": "script", "token": "all"})
    assert sent.status_code == 409
    assert not AuthToken.objects.exists()
    assert desk.post(reverse("devices"), {"name": "phone", "token": "bench"}).status_code == 200
    assert desk.post(reverse("devices"), {"name": " ", "token": "bench"}).status_code == 409
    assert AuthToken.objects.count() == 1


@pytest.mark.parametrize(
    ("method", "way", "may"),
    [
        ("POST", "clock/stop/", True),
        ("PATCH", "time-entries/7/", True),
        ("POST", "lots/T-0412/photos/", True),
        ("POST", "devices/pair/", False),
        ("DELETE", "devices/3/", False),
        ("POST", "builds/7/cancel/", False),
        ("GET", "everything/", False),
        ("GET", "quotes/1/", False),
        ("GET", "buildsomething/", False),
    ],
)
def test_what_the_bench_may_ask(method, way, may):
    assert is_bench_work(method, way) is may


def test_a_token_ends_unless_it_is_used(posy):
    _, token = add_device(user=posy, name="phone", now=NOW)
    row = AuthToken.objects.get()
    assert row.expiry - row.created == pytest.approx(timedelta(days=90), abs=timedelta(minutes=1))
    phone = APIClient(HTTP_AUTHORIZATION=f"Token {token}")
    AuthToken.objects.update(expiry=timezone.now() + timedelta(days=1))
    assert phone.get("/api/v1/clock/").status_code == 200
    assert AuthToken.objects.get().expiry > timezone.now() + timedelta(days=80)
    AuthToken.objects.update(expiry=timezone.now() - timedelta(days=1))
    assert phone.get("/api/v1/clock/").status_code == 401


def test_an_owner_sees_and_cuts_off_every_device(desk, client, bram):
    add_device(user=bram, name="bram’s phone", now=NOW)
    token = AuthToken.objects.get()
    assert "bram’s phone" in desk.get(reverse("devices")).content.decode()
    desk.post(reverse("device_revoke", args=[token.token_key]))
    assert not AuthToken.objects.exists()
    assert acts()[-1] == "device revoked"


def test_the_log_says_who_came_in_failed_and_was_locked_out(desk, bram):
    signed_in()
    for _ in range(12):
        signed_in("wrong")
    assert acts().count("sign-in failed") in (7, 8)
    assert acts().count("locked for a while") == 1
    assert "locked for a while" in desk.get(reverse("access_log")).content.decode()


def test_a_password_from_the_command_line_opens_a_lock(bram, monkeypatch):
    for _ in range(12):
        signed_in("wrong")
    assert signed_in() is None
    monkeypatch.setattr(sys, "stdin", io.StringIO(NEW + "\n"))
    call_command("new_password", "bram", stdout=io.StringIO())
    assert signed_in(NEW)


PROXIES = [ip_network("10.0.0.0/8")]


@pytest.mark.parametrize(
    ("peer", "forwarded", "address"),
    [
        ("192.0.2.7", "198.51.100.1", "192.0.2.7"),
        ("10.0.0.1", "198.51.100.1", "198.51.100.1"),
        ("10.0.0.1", "203.0.113.9, 198.51.100.1", "198.51.100.1"),
        ("10.0.0.1", "198.51.100.1, 10.0.0.2", "198.51.100.1"),
        ("10.0.0.1", "nonsense", "10.0.0.1"),
        ("10.0.0.1", "", "10.0.0.1"),
    ],
    ids=["stranger", "proxy", "made up in front", "two proxies", "nonsense", "nothing"],
)
def test_an_address_is_believed_from_named_proxies_only(peer, forwarded, address):
    assert client_address(peer, forwarded, PROXIES) == address


@pytest.mark.parametrize(
    ("page", "form"),
    [("my_password", MyPasswordForm), ("confirm", ConfirmForm), ("login", AuthenticationForm)],
)
def test_no_failure_keeps_what_was_typed(bram, page, form):
    here = signed_in()
    typed = dict.fromkeys(form().fields, NEW)
    assert here.post(reverse(page), typed).status_code in (200, 409)
    [kept] = AccessAttempt.objects.values_list("post_data", flat=True)
    assert "password" in kept
    assert NEW not in kept


def test_failures_that_kept_what_was_typed_are_forgotten_and_stay_out_of_copies(db):
    AccessAttempt.objects.create(
        username="bram", post_data=f"current={NEW}", failures_since_start=1
    )
    import_module("shop.migrations.0029_forget_failed_attempts").forget(apps, None)
    assert not AccessAttempt.objects.exists()
    assert AccessAttempt._meta.db_table in LETS_SOMEBODY_IN
