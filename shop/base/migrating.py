"""Brings the tables up to date: each step whole or not at all, by one process at a time."""

import zlib
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import Any

from django.apps.registry import Apps
from django.db import connection, transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.migrations.executor import MigrationExecutor

Step = tuple[str, str]
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


def ends_of(executor: MigrationExecutor, steps: Iterable[Step]) -> list[Step]:
    """Return those of `steps` that no other of them builds on."""
    nodes = executor.loader.graph.node_map
    found = nodes.keys() & set(steps)
    return sorted(
        step for step in found if not found & {child.key for child in nodes[step].children}
    )


def tables_after(executor: MigrationExecutor, steps: Iterable[Step]) -> Apps:
    """Return the models of the tables as they are once `steps` were taken."""
    return executor.loader.project_state(ends_of(executor, steps)).apps


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
