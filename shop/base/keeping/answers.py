"""How answers that took long to work out are kept: with a seal, so that a damaged one is none."""

import pickle
from collections.abc import Iterable
from hashlib import sha256
from typing import Any

from django.core.cache.backends.base import DEFAULT_TIMEOUT
from django.core.cache.backends.db import DatabaseCache
from django.db import DatabaseError


class SealedAnswers(DatabaseCache):
    """A table of answers; one that is not as it was written is not there, and made again.

    SQLite has no sum over the middle of a long value, so a hole in it is seen by nobody else.
    """

    def set(
        self,
        key: Any,
        value: Any,
        timeout: float | None = DEFAULT_TIMEOUT,
        version: int | None = None,
    ) -> None:
        """Keep `value` beside its SHA-256."""
        written = pickle.dumps(value, pickle.HIGHEST_PROTOCOL)
        super().set(key, (sha256(written).digest(), written), timeout, version)

    def get_many(self, keys: Iterable[Any], version: int | None = None) -> dict[Any, Any]:
        """Return those of `keys` that are there and whole."""
        found = {}
        for key in keys:
            try:
                for seal, written in super().get_many([key], version).values():
                    if sha256(written).digest() == seal:
                        found[key] = pickle.loads(written)
            except DatabaseError:
                raise
            except Exception:
                continue
        return found
