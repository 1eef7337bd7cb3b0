"""Turns at the press: one paper is laid out at a time, few may wait, whoever comes then is told.

Laying out takes a processor for up to seconds. Were all let in, or let wait, they would hold every
thread of the server, and a tap on the clock would stand behind a hundred papers.
"""

import threading
from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection

MOST_WAITING = 2
"""How many may wait in one process: fewer than its threads, of which PostgreSQL's has four."""
LONGEST_WAIT_S = 30
RETRY_AFTER_S = 5


class PressBusy(Exception):
    """Other papers are laid out and wait already; nothing was written, and later it will do.

    It is no Refusal: nothing is wrong with what was asked.
    """

    sentence = "Other papers are being printed just now, so this one was not begun."


class Press:
    """Lets one in at a time and some wait; the one inside may come in again."""

    def __init__(self) -> None:
        self._turn = threading.Lock()
        self._places = threading.Lock()
        self._taken = 0
        self._inside: int | None = None

    @contextmanager
    def turn(self) -> Iterator[None]:
        """Wait for a turn and hold it. Raises PressBusy where too many wait, or after too long.

        Within a transaction nobody waits: who is inside may need what it has locked.
        """
        me = threading.get_ident()
        if self._inside == me or connection.in_atomic_block:
            yield
            return
        with self._place():
            if not self._turn.acquire(timeout=LONGEST_WAIT_S):
                raise PressBusy
            self._inside = me
            try:
                yield
            finally:
                self._inside = None
                self._turn.release()

    @contextmanager
    def _place(self) -> Iterator[None]:
        with self._places:
            if self._taken > MOST_WAITING:
                raise PressBusy
            self._taken += 1
        try:
            yield
        finally:
            with self._places:
                self._taken -= 1


press = Press()
"""The one of this process."""
