"""The second factor: asked at sign-in, each code once, recovery codes, and ways out."""

import io
from datetime import timedelta

import pyotp
import pytest
from django.conf import settings
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from inventory.base.refusals import Refusal
from shop.access.bookkeeping import ONE_LOCK, WRONG_CODE, Act, log_access
from shop.access.calc import step_of_code
from shop.access.services.people import end_access, set_password
from shop.access.services.second_factor import (
    TooManyWrongCodes,
    WrongCode,
    renew_recovery_codes,
    take_code,
    turn_off_second_factor,
    turn_on_second_factor,
)
from shop.copies.queries import LETS_SOMEBODY_IN, copied_models
from shop.models import AccessEntry, RecoveryCode, SecondFactor
from tests.conftest import make_person

pytestmark = pytest.mark.django_db
PASSWORD = "spruce-and-snow"
SECRET = pyotp.random_base32()
NOW = timezone.now()
EARLIER = NOW - timedelta(hours=1)
RFC_SECRET = "GEZDGNBVGY3TQOJQGEZDGNBVGY3TQOJQ"


@pytest.mark.parametrize(
    ("at", "code"),
    [
        (59, "94287082"),
        (1111111109, "07081804"),
        (1234567890, "89005924"),
        (20000000000, "65353130"),
    ],
)
def test_codes_are_those_of_rfc_6238(at, code):
    """Appendix B, SHA-1; of its eight digits ours are the last six (RFC 4226, section 5.3)."""
    assert step_of_code(RFC_SECRET, code[2:], at) == at // 30
    assert step_of_code(RFC_SECRET, code[2:], at + 30) == at // 30
    assert step_of_code(RFC_SECRET, code[2:], at + 60) is None


def code_at(moment):
    return pyotp.TOTP(SECRET).at(moment)


def turned_on(person):
    return turn_on_second_factor(person=person, secret=SECRET, code=code_at(EARLIER), now=EARLIER)


@pytest.fixture
def bram(workshop):
    return set_password(person=make_person("bram", "maker"), password=PASSWORD, now=EARLIER)


@pytest.fixture
def codes(bram):
    return turned_on(bram)


def at_the_code(onward=""):
    """Return a browser in which bram typed the right password."""
    browser = Client()
    answer = browser.post(f"/login/?next={onward}", {"username": "bram", "password": PASSWORD})
    assert answer.url == reverse("sign_in_code")
    return browser


def send(browser, code, **more):
    return browser.post(reverse("sign_in_code"), {"code": code}, **more)


def signed_in():
    """Return a browser in which bram signed in with the password, and a code a minute ago."""
    browser = Client()
    browser.force_login(User.objects.get(username="bram"))
    note_password(browser)
    return browser


def note_password(browser):
    session = browser.session
    session["confirmed_at"] = timezone.now().timestamp()
    session.save()


def is_in(browser):
    return browser.get(reverse("my_access")).status_code == 200


def test_the_password_alone_opens_nothing(codes):
    browser = at_the_code(reverse("my_password"))
    assert not is_in(browser)
    assert browser.get("/api/v1/clock/").status_code == 401
    assert send(browser, "000000x").status_code == 409
    assert not is_in(browser)
    assert send(browser, code_at(timezone.now())).url == reverse("my_password")
    assert is_in(browser)


def test_a_code_counts_once_within_its_window(codes):
    code = code_at(timezone.now())
    assert send(at_the_code(), code).status_code == 302
    again = at_the_code()
    assert send(again, code).status_code == 409
    assert not is_in(again)


def test_an_older_code_than_the_last_one_is_refused(bram, codes):
    take_code(person=bram, code=code_at(NOW), now=NOW)
    with pytest.raises(WrongCode):
        take_code(person=bram, code=code_at(NOW - timedelta(seconds=30)), now=NOW)
    later = NOW + timedelta(seconds=30)
    take_code(person=bram, code=code_at(later), now=later)


def test_the_code_that_turned_it_on_signs_nobody_in(bram, codes):
    with pytest.raises(WrongCode):
        take_code(person=bram, code=code_at(EARLIER), now=EARLIER)


def test_a_recovery_code_signs_in_once_however_it_is_typed(bram, codes):
    assert len(set(codes)) == 10
    assert RecoveryCode.objects.filter(digest__in=codes).count() == 0
    typed = " ".join([codes[0][:8].lower(), codes[0][8:]])
    assert send(at_the_code(), typed).status_code == 302
    assert send(at_the_code(), codes[0]).status_code == 409
    line = AccessEntry.objects.get(act="recovery code used")
    assert line.detail == "9 left"
    renew_recovery_codes(person=bram, now=NOW)
    assert send(at_the_code(), codes[1]).status_code == 409


def test_wrong_codes_lock_as_wrong_passwords_do(codes):
    browser = at_the_code()
    answers = [send(browser, "123").status_code for _ in range(8)]
    assert answers == [409] * 7 + [429]
    assert send(browser, code_at(timezone.now())).status_code == 429
    assert not is_in(browser)
    assert AccessEntry.objects.filter(act="sign-in failed", detail=WRONG_CODE).count() == 8
    assert AccessEntry.objects.filter(act="locked for a while").count() == 1


def test_wrong_codes_count_together_whatever_their_address(codes):
    browser = at_the_code()
    for number in range(settings.AXES_FAILURE_LIMIT):
        assert send(browser, "123", REMOTE_ADDR=f"203.0.113.{number}").status_code == 409
    right = send(browser, code_at(timezone.now()), REMOTE_ADDR="203.0.113.99")
    assert right.status_code == 409
    assert "Wait 15 minutes" in right.content.decode()
    assert not is_in(browser)
    failures = AccessEntry.objects.filter(act=Act.FAILED)
    assert failures.count() == settings.AXES_FAILURE_LIMIT  # a code not looked at is no failure


def test_codes_are_looked_at_again_after_the_lock(bram, codes):
    for _ in range(settings.AXES_FAILURE_LIMIT):
        log_access(act=Act.FAILED, person="bram", now=NOW, detail=WRONG_CODE)
    with pytest.raises(TooManyWrongCodes):
        take_code(person=bram, code=code_at(NOW), now=NOW)
    later = NOW + ONE_LOCK
    take_code(person=bram, code=code_at(later), now=later)


def test_wrong_passwords_from_elsewhere_keep_nobody_from_their_code(codes):
    browser = at_the_code()
    for number in range(3 * settings.AXES_FAILURE_LIMIT):
        stranger = {"username": "bram", "password": "wrong"}
        Client().post("/login/", stranger, REMOTE_ADDR=f"203.0.113.{number}")
    assert send(browser, code_at(timezone.now())).status_code == 302
    assert is_in(browser)


@pytest.mark.parametrize("name", ["my_second_factor_off", "my_recovery_codes"])
def test_it_takes_a_code_to_turn_it_off_or_to_make_new_codes(bram, codes, name):
    browser = signed_in()
    kept = set(RecoveryCode.objects.values_list("digest", flat=True))
    assert browser.post(reverse(name), {"code": ""}).status_code == 422
    for number in range(settings.AXES_FAILURE_LIMIT):
        wrong = browser.post(reverse(name), {"code": "123"}, REMOTE_ADDR=f"203.0.113.{number}")
        assert wrong.status_code == 409
    assert browser.post(reverse(name), {"code": code_at(timezone.now())}).status_code == 409
    assert set(RecoveryCode.objects.values_list("digest", flat=True)) == kept
    # The same count keeps whoever tried there from the door, too.
    assert send(at_the_code(), code_at(timezone.now())).status_code == 409


def test_whoever_waits_too_long_or_changes_the_password_begins_anew(bram, codes):
    browser = at_the_code()
    session = browser.session
    session["waits_for_code"] |= {"at": timezone.now().timestamp() - 301}
    session.save()
    assert send(browser, code_at(timezone.now())).url == reverse("login")
    other = at_the_code()
    set_password(person=bram, password="maple-after-rain", now=NOW)
    assert send(other, code_at(timezone.now())).url == reverse("login")
    assert Client().get(reverse("sign_in_code")).url == reverse("login")


def test_it_is_turned_on_and_off_on_my_own_pages(bram):
    browser = Client()
    browser.post("/login/", {"username": "bram", "password": PASSWORD})
    page = reverse("my_second_factor")
    shown = browser.get(page)
    secret = browser.session["new_second_factor"]
    assert shown["Cache-Control"] == "no-store"
    assert shown.context["secret"].replace(" ", "") == secret
    assert "-" not in shown.context["secret"]
    assert browser.post(page, {"code": "000"}).status_code == 409
    assert not SecondFactor.objects.exists()
    answer = browser.post(page, {"code": pyotp.TOTP(secret).now()})
    assert len(answer.context["codes"]) == 10
    assert secret not in str(dict(browser.session))
    assert "Recovery codes left: 10" in browser.get(reverse("my_access")).content.decode()
    code = {"code": answer.context["codes"][0]}
    fresh = browser.post(reverse("my_recovery_codes"), code).context["codes"]
    assert set(fresh).isdisjoint(answer.context["codes"])
    assert browser.post(reverse("my_second_factor_off"), code).status_code == 409
    last = {"code": fresh[0]}
    assert browser.post(reverse("my_second_factor_off"), last).url == reverse("my_access")
    assert not SecondFactor.objects.exists()
    for name in ("my_second_factor_off", "my_recovery_codes"):
        assert browser.post(reverse(name), last).url == reverse("my_access")
    acts = AccessEntry.objects.filter(act__contains="factor") | AccessEntry.objects.filter(
        act__contains="recovery"
    )
    assert [one.act for one in acts.order_by("pk")] == [
        "second factor turned on", "recovery code used", "recovery codes made",
        "recovery code used", "second factor turned off",
    ]  # fmt: skip


@pytest.mark.parametrize("name", ["my_second_factor", "my_second_factor_off", "my_recovery_codes"])
def test_a_borrowed_browser_does_not_reach_it_without_the_password(client, bram, name):
    client.force_login(bram)
    session = client.session
    session["confirmed_at"] = 0
    session.save()
    for ask in (client.get, client.post):
        assert ask(reverse(name)).url.startswith(reverse("confirm"))


def test_the_owner_sees_who_has_it_and_turns_it_off(desk, bram, codes):
    people = desk.get(reverse("people")).content.decode()
    page = reverse("person_factor_off", args=[bram.pk])
    assert page in people
    assert desk.post(page).url == reverse("people")
    assert not SecondFactor.objects.exists()
    line = AccessEntry.objects.first()
    assert (line.act, line.person, line.by) == ("second factor turned off", "bram", "posy")


def test_it_is_turned_off_from_the_command_line(codes):
    out = io.StringIO()
    call_command("second_factor_off", "bram", stdout=out)
    assert "with the password alone" in out.getvalue()
    with pytest.raises(CommandError, match="has no second factor"):
        call_command("second_factor_off", "bram")
    with pytest.raises(CommandError, match="Nobody signs in as hazel"):
        call_command("second_factor_off", "hazel")
    answer = Client().post("/login/", {"username": "bram", "password": PASSWORD})
    assert answer.url == reverse("today")


def test_ended_access_ends_it_too(bram, posy, codes):
    browser = at_the_code()
    end_access(person=bram, now=NOW)
    assert send(browser, code_at(timezone.now())).url == reverse("login")
    assert not SecondFactor.objects.exists()


def test_it_can_be_on_once_only(bram, codes):
    with pytest.raises(Refusal, match="on already"):
        turned_on(bram)
    turn_off_second_factor(person=bram, now=NOW)
    with pytest.raises(Refusal, match="on first"):
        renew_recovery_codes(person=bram, now=NOW)


def test_no_copy_of_the_books_holds_it():
    for model in (SecondFactor, RecoveryCode):
        assert model not in copied_models()
        assert model._meta.db_table in LETS_SOMEBODY_IN
