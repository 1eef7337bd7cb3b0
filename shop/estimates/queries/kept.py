"""Answers worked out from a record, kept in the database for all processes until it differs.

An answer is found by everything that it was made from, so that none can be out of date: the record,
what was asked, and the arithmetic itself. Unused ones make room by themselves.
"""

import hashlib
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import TypeVar

from django.core.cache import caches

from shop.estimates.queries.past_builds import PastBuilds

Answer = TypeVar("Answer")
ARITHMETIC = Path(__file__).resolve().parent.parent / "calc"
SHORT = 40


def kept(record: PastBuilds, what: str, asked: object, make: Callable[[], Answer]) -> Answer:
    """Return what `make` works out from `record` and `asked`, or what it did before.

    asked: all that it depends on beside the record; its `repr` must tell it apart.
    """
    told = f"{arithmetic_now()} {record.mark} {what} {asked!r}"
    key = hashlib.sha256(told.encode()).hexdigest()[:SHORT]
    answers = caches["answers"]
    found: Answer | None = answers.get(key)
    if found is None:
        found = make()
        answers.set(key, found)
    return found


@cache
def arithmetic_now() -> str:
    """Return a mark of the arithmetic of estimates as it stands: another version, other answers."""
    mark = hashlib.sha256()
    for path in sorted(ARITHMETIC.glob("*.py")):
        mark.update(path.read_bytes())
    return mark.hexdigest()[:SHORT]
