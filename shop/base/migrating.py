"""Brings the tables up to date: each step whole or not at all, by one process at a time."""

import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.db import connection, transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.executor import MigrationExecutor

LOCK = zlib.crc32(b"gramil: the tables are brought up to date")
"""A number of our own for PostgreSQL's advisory lock."""


class WholeSteps(MigrationExecutor):
    """Applies a migration and notes that it was, both or neither.

    Django notes it after the tables are committed: cut off between the two, the next start would
    make tables that are there.
    """

    def apply_migration(self, *args: Any, **kwargs: Any) -> Any:
        with _as_one(self.connection):
            return super().apply_migration(*args, **kwargs)

    def unapply_migration(self, *args: Any, **kwargs: Any) -> Any:
        with _as_one(self.connection):
            return super().unapply_migration(*args, **kwargs)


@contextmanager
def one_at_a_time() -> Iterator[None]:
    """Wait until nobody else brings the tables of this database up to date.

    SQLite needs no lock for it: its folder has one server.
    """
    if connection.vendor != "postgresql":
        yield
        return
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_advisory_lock(%s)", [LOCK])
        try:
            yield
        finally:
            cursor.execute("SELECT pg_advisory_unlock(%s)", [LOCK])


@contextmanager
def _as_one(database: BaseDatabaseWrapper) -> Iterator[None]:
    # SQLite can switch its checks of keys outside a transaction only, and steps need them off.
    database.disable_constraint_checking()
    try:
        with transaction.atomic(using=database.alias):
            yield
    finally:
        database.enable_constraint_checking()
