"""A code sent by several at once lets one in, and a second factor is turned on once.

The control reads the step of the latest code before it writes it: there the same code lets in all.
"""

import threading
from datetime import timedelta

import pyotp
import pytest
from django.utils import timezone

from inventory.base.refusals import Refusal
from shop.access.calc import step_of_code
from shop.access.services.second_factor import WrongCode, take_code, turn_on_second_factor
from shop.models import RecoveryCode, SecondFactor
from tests.conftest import make_person
from tests.races.moments import at_the_same_moment

pytestmark = [pytest.mark.races, pytest.mark.django_db(transaction=True)]
RIVALS = 4
SECRET = pyotp.random_base32()
NOW = timezone.now()
EARLIER = NOW - timedelta(hours=1)
CODE = pyotp.TOTP(SECRET).at(NOW)


@pytest.fixture
def bram():
    return make_person("bram", "maker")


def turned_on(person):
    code = pyotp.TOTP(SECRET).at(EARLIER)
    return turn_on_second_factor(person=person, secret=SECRET, code=code, now=EARLIER)


def test_of_several_who_send_one_code_at_once_one_comes_in(bram):
    turned_on(bram)
    come = [lambda: take_code(person=bram, code=CODE, now=NOW)] * RIVALS
    outcomes = at_the_same_moment(come)
    assert outcomes.count(None) == 1, outcomes
    assert sum(isinstance(one, WrongCode) for one in outcomes) == RIVALS - 1, outcomes


def test_one_recovery_code_lets_one_in(bram):
    code = turned_on(bram)[0]
    outcomes = at_the_same_moment([lambda: take_code(person=bram, code=code, now=NOW)] * RIVALS)
    assert outcomes.count(None) == 1, outcomes
    assert sum(isinstance(one, WrongCode) for one in outcomes) == RIVALS - 1, outcomes


def test_without_the_guard_one_code_lets_several_in(bram):
    turned_on(bram)
    everybody_has_looked = threading.Barrier(RIVALS, timeout=30)

    def look_then_write():
        factor = SecondFactor.objects.get(person=bram)
        step = step_of_code(factor.secret, CODE, NOW.timestamp())
        if step <= factor.last_step:
            raise WrongCode
        everybody_has_looked.wait()
        SecondFactor.objects.filter(pk=factor.pk).update(last_step=step)

    outcomes = at_the_same_moment([look_then_write] * RIVALS)
    assert outcomes.count(None) > 1, outcomes


def test_of_several_who_turn_it_on_at_once_one_does(bram):
    outcomes = at_the_same_moment([lambda: turned_on(bram)] * RIVALS)
    codes = [one for one in outcomes if isinstance(one, list)]
    assert len(codes) == 1, outcomes
    refused = [one for one in outcomes if isinstance(one, Refusal)]
    assert len(refused) == RIVALS - 1, outcomes
    assert "on already" in refused[0].sentence
    assert RecoveryCode.objects.count() == len(codes[0])
