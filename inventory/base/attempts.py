"""Attempts at a transaction: slow work is done while nothing is locked, a deadlock is tried again.

SQLite has one lock for all that is written, PostgreSQL locks the rows that an act asks for. Whoever
lays out a paper or shrinks a photo under them makes everybody else wait, and so it is done before.
"""

from collections.abc import Callable, Hashable, Iterator
from contextlib import ExitStack, contextmanager, nullcontext
from contextvars import ContextVar
from functools import wraps
from typing import Any, ParamSpec, TypeVar

from django.db import OperationalError, connection

from inventory.base.turns import press

GIVEN_WAY = {"40001", "40P01"}
"""Serialization failure and deadlock: PostgreSQL 15, appendix A, error codes."""

MOST_ATTEMPTS = 6
P = ParamSpec("P")
T = TypeVar("T")

_done: ContextVar[dict[Hashable, Any] | None] = ContextVar("_done", default=None)


class _NotDone(BaseException):
    """Slow work was asked for; no `except Exception` on the way may take it for a failure."""

    def __init__(self, key: Hashable, work: Callable[[], Any], in_turn: bool) -> None:
        self.key, self.work, self.in_turn = key, work, in_turn


def run_unlocked(key: Hashable, work: Callable[[], T], *, in_turn: bool = False) -> T:
    """Return what `work` gives, which depends on nothing but what `key` says.

    Within `in_attempts` the transaction is rolled back, the work done, and the act begun anew: it
    checks everything again. Papers are laid out `in_turn`: whoever does waits for who did so before
    to be through with the act, as the number on the paper may be taken by then, or is told that
    too many wait (PressBusy).
    """
    done = _done.get()
    if done is None:
        with press.turn() if in_turn else nullcontext():
            return work()
    if key not in done:
        raise _NotDone(key, work, in_turn)
    result: T = done[key]
    return result


def in_attempts(act: Callable[P, T]) -> Callable[P, T]:
    """Wrap an `act` that is one transaction; within another transaction it does nothing.

    PostgreSQL ends one of two acts that wait for each other: that one is begun anew, once.
    """

    @wraps(act)
    def whole(*args: P.args, **kwargs: P.kwargs) -> T:
        if connection.in_atomic_block:
            return act(*args, **kwargs)
        return _attempt(lambda: act(*args, **kwargs))

    return whole


def gave_way(error: BaseException) -> bool:
    """Say whether the database ended a transaction so that another could go on."""
    return isinstance(error, OperationalError) and _sqlstate(error) in GIVEN_WAY


def _attempt(act: Callable[[], T]) -> T:
    done: dict[Hashable, Any] = {}
    with ExitStack() as turn:
        has_turn = False
        for _ in range(MOST_ATTEMPTS):
            try:
                return _redone_once(act, done)
            except _NotDone as asked:
                missing = asked
            if missing.in_turn and not has_turn:
                # What was asked for may name what others have changed by the time it is our turn.
                turn.enter_context(press.turn())
                has_turn = True
            else:
                done[missing.key] = missing.work()
        # Another process was always quicker: under the lock nobody can be.
        return _redone_once(act, None)


def _redone_once(act: Callable[[], T], done: dict[Hashable, Any] | None) -> T:
    try:
        with _known(done):
            return act()
    except OperationalError as error:
        if not gave_way(error):
            raise
    with _known(done):
        return act()


@contextmanager
def _known(done: dict[Hashable, Any] | None) -> Iterator[None]:
    token = _done.set(done)
    try:
        yield
    finally:
        _done.reset(token)


def _sqlstate(error: OperationalError) -> str:
    return str(getattr(error.__cause__, "sqlstate", ""))
