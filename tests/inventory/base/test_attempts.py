"""Slow work is done while nothing is locked, and an act that gave way is begun anew, once."""

import pytest
from django.db import OperationalError, connection, transaction

from inventory.base.attempts import MOST_ATTEMPTS, in_attempts, run_unlocked

pytestmark = pytest.mark.django_db(transaction=True)


def locked_now():
    return connection.in_atomic_block


def make_act(keys, *, in_turn=False):
    """Return an act that needs the work of one of `keys` a run, the last one again and again."""
    keys, seen = list(keys), []

    @in_attempts
    @transaction.atomic
    def act():
        key = keys.pop(0) if len(keys) > 1 else keys[0]
        return run_unlocked(key, lambda: seen.append((key, locked_now())) or key, in_turn=in_turn)

    return act, seen


@pytest.mark.parametrize("in_turn", [True, False], ids=["in turn", "at once"])
def test_slow_work_is_done_while_nothing_is_locked(in_turn):
    act, seen = make_act(["paper"], in_turn=in_turn)
    assert act() == "paper"
    assert seen == [("paper", False)]


def test_work_for_what_has_changed_meanwhile_is_done_anew():
    act, seen = make_act(["number 1", "number 2"])
    assert act() == "number 2"
    assert seen == [("number 1", False), ("number 2", False)]


def test_after_some_attempts_the_work_is_done_under_the_lock():
    act, seen = make_act(range(MOST_ATTEMPTS + 5))
    assert act() == MOST_ATTEMPTS
    assert seen[-1] == (MOST_ATTEMPTS, True)
    assert not any(locked for _, locked in seen[:-1])


def test_within_another_transaction_nothing_is_begun_anew():
    act, seen = make_act(["paper"])
    with transaction.atomic():
        act()
    assert seen == [("paper", True)]


def test_no_except_on_the_way_takes_the_request_for_a_failure():
    @in_attempts
    @transaction.atomic
    def act():
        try:
            return run_unlocked("paper", lambda: "laid out")
        except Exception:
            return "given up"

    assert act() == "laid out"


class Ended(OperationalError):
    def __init__(self, sqlstate):
        self.__cause__ = type("Cause", (Exception,), {"sqlstate": sqlstate})()


def failing(sqlstate, times):
    tries = []

    @in_attempts
    @transaction.atomic
    def act():
        tries.append(sqlstate)
        if len(tries) <= times:
            raise Ended(sqlstate)
        return len(tries)

    return act


@pytest.mark.parametrize("sqlstate", ["40P01", "40001"], ids=["deadlock", "serialization failure"])
def test_an_act_that_gave_way_is_begun_anew(sqlstate):
    assert failing(sqlstate, times=1)() == 2


@pytest.mark.parametrize(
    ("sqlstate", "times"), [("40P01", 2), ("57014", 1)], ids=["a second time", "something else"]
)
def test_any_other_failure_is_told(sqlstate, times):
    with pytest.raises(OperationalError):
        failing(sqlstate, times)()
