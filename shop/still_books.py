"""The books as they stand at one moment, to be read at leisure while the shop goes on working."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory

from django.conf import settings
from django.db import connection, connections, transaction
from django.db.backends.base.base import BaseDatabaseWrapper

STILL = "still"
"""The database alias under which the books of one moment are read."""


@contextmanager
def still_books() -> Iterator[Path | None]:
    """Open the alias `STILL`, this thread's own, on the books of this moment.

    Yield the file that it reads, which on SQLite is a copy, so that nobody waits. Elsewhere there
    is none: the database itself keeps the moment for us.
    """
    with TemporaryDirectory(prefix="copy-", dir=settings.DATA_DIR) as folder:
        books = connection.copy(alias=STILL)
        copied = Path(folder) / "gramil.sqlite3" if connection.vendor == "sqlite" else None
        if copied:
            _copy_database(books, copied)
            books.settings_dict["NAME"] = str(copied)
        else:
            from psycopg import IsolationLevel

            books.settings_dict["OPTIONS"]["isolation_level"] = IsolationLevel.REPEATABLE_READ
        connections[STILL] = books
        try:
            with transaction.atomic(using=STILL), books.cursor() as moment:
                moment.execute("SELECT 1")  # the first question is when a snapshot is taken
                yield copied
        finally:
            books.close()
            del connections[STILL]


def _copy_database(books: BaseDatabaseWrapper, to: Path) -> None:
    """Copy by a connection of its own: what is still being written stays out."""
    with closing(sqlite3.connect(to)) as target:
        books.ensure_connection()
        books.connection.backup(target)
    books.close()
