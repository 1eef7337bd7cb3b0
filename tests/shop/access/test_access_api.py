"""Who may come in, in the API: people, my password and sessions, the log, everybody's devices."""

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from knox.models import AuthToken
from rest_framework.test import APIClient

from inventory.models import KeptAnswer
from shop.access.services.people import set_password
from shop.devices.services import add_device
from shop.models import AccessEntry, SecondFactor
from tests.conftest import make_person

pytestmark = pytest.mark.django_db
SECRET, NEW, HERS = "spruce-and-snow", "maple-after-rain", "cedar-by-the-stove"
NOW = timezone.now()
PEOPLE, SESSIONS = "/api/v1/people/", "/api/v1/my-access/sessions/"


@pytest.fixture
def owner(posy):
    """A program of Posy's with all her rights."""
    set_password(person=posy, password=SECRET, now=NOW)
    return program_of(posy)


@pytest.fixture
def bram(workshop):
    return set_password(person=make_person("bram", "maker"), password=HERS, now=NOW)


def program_of(person, rights="all"):
    _, token = add_device(user=person, name=f"script of {person}", now=NOW, rights=rights)
    return APIClient(HTTP_AUTHORIZATION=f"Token {token}")


def signed_in(name, password):
    browser = Client()
    answer = browser.post("/login/", {"username": name, "password": password})
    return browser if answer.status_code == 302 else None


def of(person, *way):
    return "/".join([f"{PEOPLE}{person.pk}", *way, ""])


def test_an_owner_lists_people_with_role_and_access(owner, bram):
    rows = owner.get(PEOPLE).data["results"]
    assert [(row["username"], row["role"], row["is_active"]) for row in rows] == [
        ("bram", "maker", True),
        ("posy", "owner", True),
    ]


@pytest.mark.parametrize("people", [1, 25])
def test_the_list_of_people_takes_the_same_queries(owner, people, django_assert_num_queries):
    for number in range(people):
        make_person(f"hand {number}", "maker")
    with django_assert_num_queries(8):
        assert owner.get(PEOPLE).data["count"] == people + 1


def test_an_owner_adds_a_person_who_then_signs_in(owner):
    hazel = {"first_name": "Hazel", "username": "hazel", "role": "bookkeeper"}
    answer = owner.post(PEOPLE, {**hazel, "new_password": NEW, "password": SECRET})
    assert answer.status_code == 201
    assert (answer.data["role"], answer.data["is_active"]) == ("bookkeeper", True)
    assert signed_in("hazel", NEW)
    entry = AccessEntry.objects.get(act="person added")
    assert (entry.person, entry.by) == ("hazel", "posy")


def test_a_weak_password_is_refused_at_its_own_field(owner):
    asked = {"first_name": "Hazel", "username": "hazel", "role": "maker", "password": SECRET}
    answer = owner.post(PEOPLE, {**asked, "new_password": "short"})
    assert answer.status_code == 409
    assert [one["field"] for one in answer.data["errors"]] == ["new_password"]


@pytest.mark.parametrize(
    ("way", "asked"),
    [
        ("role", {"role": "bookkeeper"}),
        ("password", {"new_password": NEW}),
        ("end", {}),
        ("second-factor/off", {}),
    ],
)
def test_what_is_done_to_a_person_wants_my_password(owner, bram, way, asked):
    SecondFactor.objects.create(person=bram, secret="A", since=NOW, last_step=0)
    before = AccessEntry.objects.count()
    assert owner.post(of(bram, way), asked).status_code == 400
    wrong = owner.post(of(bram, way), {**asked, "password": "wrong"})
    assert (wrong.status_code, wrong.data["errors"][0]["field"]) == (400, "password")
    assert set(AccessEntry.objects.values_list("act", flat=True)[:1]) == {"sign-in failed"}
    assert AccessEntry.objects.count() == before + 1
    assert owner.post(of(bram, way), {**asked, "password": SECRET}).status_code == 200
    assert AccessEntry.objects.count() == before + 2


def test_guessing_my_password_here_locks_as_signing_in_does(owner, bram, settings):
    for _ in range(settings.AXES_FAILURE_LIMIT):
        guessed = owner.post(of(bram, "end"), {"password": "wrong"})
        assert (guessed.status_code, guessed["Content-Type"]) == (400, "application/problem+json")
    right = owner.post(of(bram, "end"), {"password": SECRET})
    assert right.status_code == 429
    assert 0 < int(right["Retry-After"]) <= 15 * 60
    assert signed_in("posy", SECRET) is None
    bram.refresh_from_db()
    assert bram.is_active


def test_a_role_a_password_and_an_end_take_hold_at_once(owner, bram):
    browser, phone = signed_in("bram", HERS), program_of(bram, "bench")
    assert owner.post(of(bram, "role"), {"role": "looker-on", "password": SECRET}).data["role"] == (
        "looker-on"
    )
    asked = {"new_password": NEW, "password": SECRET}
    assert owner.post(of(bram, "password"), asked).status_code == 200
    assert browser.get(reverse("my_access")).status_code == 302
    assert signed_in("bram", NEW)
    ended = owner.post(of(bram, "end"), {"password": SECRET})
    assert ended.data["is_active"] is False
    assert phone.get("/api/v1/clock/").status_code == 401
    assert signed_in("bram", NEW) is None
    assert owner.post(of(bram, "end"), {"password": SECRET}).status_code == 404
    assert owner.post(of(bram, "admit"), asked).data["is_active"] is True
    assert signed_in("bram", NEW)


def test_the_only_owner_is_not_ended(owner, posy):
    answer = owner.post(of(posy, "end"), {"password": SECRET})
    assert answer.status_code == 409
    assert "only owner" in answer.data["detail"]


@pytest.mark.parametrize("role", ["maker", "bookkeeper", "looker-on"])
def test_only_an_owner_reads_or_changes_people_and_reads_the_log(workshop, role):
    person = set_password(person=make_person("gertie", role), password=HERS, now=NOW)
    api = program_of(person)
    assert [api.get(way).status_code for way in (PEOPLE, "/api/v1/access-log/")] == [403, 403]
    for way in ("role", "password", "end", "admit", "second-factor/off"):
        asked = {"role": "owner", "new_password": NEW, "password": HERS}
        assert api.post(of(person, way), asked).status_code == 403
    assert User.objects.get().groups.get().name == role


def test_a_device_of_the_bench_reaches_none_of_it(owner, posy, bram):
    phone = program_of(posy, "bench")
    assert phone.get(PEOPLE).status_code == 403
    assert phone.post(of(bram, "end"), {"password": SECRET}).status_code == 403
    assert phone.get(SESSIONS).status_code == 403


def test_my_new_password_ends_other_sessions_and_keeps_the_one_that_asked(bram):
    here, elsewhere = signed_in("bram", HERS), signed_in("bram", HERS)
    asked = {"new_password": NEW, "password": HERS}
    way, kind = "/api/v1/my-access/password/", "application/json"
    assert here.post(way, {**asked, "password": NEW}, content_type=kind).status_code == 400
    answer = here.post(way, asked, content_type=kind)
    assert (answer.status_code, answer.json()) == (200, {"ended": 1})
    assert here.get(SESSIONS).status_code == 200
    assert elsewhere.get(SESSIONS).status_code == 401
    assert signed_in("bram", NEW)


def test_my_sessions_are_listed_without_their_keys_and_ended(bram):
    here, elsewhere = signed_in("bram", HERS), signed_in("bram", HERS)
    answer = here.get(SESSIONS)
    assert sorted(row["is_this"] for row in answer.json()) == [False, True]
    assert elsewhere.session.session_key not in answer.content.decode()
    assert here.post(f"{SESSIONS}end/", content_type="application/json").json() == {"ended": 1}
    assert elsewhere.get(SESSIONS).status_code == 401
    device = program_of(bram)
    assert [row["is_this"] for row in device.get(SESSIONS).data] == [False]
    assert device.post(f"{SESSIONS}end/").data == {"ended": 1}
    assert here.get(SESSIONS).status_code == 401


def test_an_owner_lists_and_cuts_off_everybodys_devices(owner, bram):
    hers = program_of(bram)
    assert owner.get("/api/v1/devices/").data["count"] == 1
    rows = owner.get("/api/v1/devices/?everybody=true").data["results"]
    assert [row["user_name"] for row in rows] == ["bram", "posy"]
    assert hers.get("/api/v1/devices/?everybody=true").status_code == 403
    assert owner.get("/api/v1/devices/?everybody=often").status_code == 400
    assert hers.delete(f"/api/v1/devices/{rows[1]['id']}/").status_code == 404
    assert owner.delete(f"/api/v1/devices/{rows[0]['id']}/").status_code == 204
    assert hers.get("/api/v1/devices/").status_code == 401
    entry = AccessEntry.objects.get(act="device revoked")
    assert (entry.person, entry.by) == ("bram", "posy")
    assert AuthToken.objects.count() == 1


def test_the_log_is_read_by_act_and_person(owner, bram):
    signed_in("bram", "wrong")
    lines = owner.get("/api/v1/access-log/?act=sign-in%20failed&person=bram").data["results"]
    assert [(line["person"], line["act"]) for line in lines] == [("bram", "sign-in failed")]


def test_a_repeated_key_adds_one_person_and_keeps_no_digest_of_a_password(owner, monkeypatch):
    asked = {"first_name": "Hazel", "username": "hazel", "role": "maker"}
    asked |= {"new_password": NEW, "password": SECRET}
    key = {"HTTP_IDEMPOTENCY_KEY": "once"}
    first, again = (owner.post(PEOPLE, asked, **key) for _ in range(2))
    assert (first.status_code, again.data, again["Idempotency-Replayed"]) == (
        201,
        first.data,
        "true",
    )
    mark = KeptAnswer.objects.get().fingerprint
    KeptAnswer.objects.all().delete()
    User.objects.filter(username="hazel").delete()
    # Under another key of the shop the same words leave another mark: it is no plain digest.
    monkeypatch.setattr("inventory.base.api.idempotency._hidden", lambda secret: secret)
    owner.post(PEOPLE, asked, **key)
    assert KeptAnswer.objects.get().fingerprint != mark


def test_a_factor_that_is_off_is_refused_to_be_turned_off(owner, bram):
    answer = owner.post(of(bram, "second-factor/off"), {"password": SECRET})
    assert answer.status_code == 409
    assert "no second factor" in answer.data["detail"]
