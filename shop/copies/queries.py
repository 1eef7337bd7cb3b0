"""Rows as they are in the database, to be read back into this one or another kind of it."""

import json
import re
import shutil
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import closing, contextmanager
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from django.apps import apps
from django.apps.registry import Apps
from django.conf import settings
from django.db import connection, connections, transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import Count, Field, FileField, Model, Sum

from inventory.base.refusals import Refusal
from inventory.fields import WholeUnitsField

LEFT_OUT = {"inventory.keptanswer", "shop.pairingcode"}
"""Tables of passing things: answers that the API may have to repeat, codes for pairing."""

KEYS = {"shop.device", "shop.secondfactor", "shop.recoverycode"}
"""Tables of what lets somebody in: whoever has a token or a second factor sets it up anew after a
restore."""


LETS_SOMEBODY_IN = (
    "django_session",
    "shop_pairingcode",
    "inventory_keptanswer",
    "shop_recoverycode",
    "shop_secondfactor",
    "axes_accessattempt",
)
"""Tables that stay out of a copied database: a session's key signs in whoever finds it, and what
was sent at a failed sign-in may be a password in the wrong field.

Of passwords and tokens it holds fingerprints, from which neither can be found.
"""

NAME = re.compile(r"gramil-(\d{4}-\d\d-\d\d)-\d{6}\.(?:zip|locked)")
MB = 1_000_000
KEPT_FREE = 50 * MB
"""Room that stays for whoever works meanwhile."""
SNAPSHOT = "still"
"""The database alias under which the books of one moment are read."""

PEOPLE = ("auth.User", "auth.Group", "auth.User_groups")


def copied_models(registry: Apps = apps) -> list[type[Model]]:
    """Return the model of every table that a copy of the books holds, as `registry` knows it.

    Before an update that is the state of the tables as they still are.
    """
    labels = {model._meta.app_label for model in own_models()}
    models = registry.get_models(include_auto_created=True)
    own = [model for model in models if model._meta.app_label in labels]
    people = [registry.get_model(label) for label in PEOPLE]
    return [one for one in [*own, *people] if one._meta.label_lower not in LEFT_OUT | KEYS]


def kept_names(models: Iterable[type[Model]], using: str) -> Iterator[str]:
    """Yield the name of every file that rows of `models` keep."""
    for model in models:
        for field in model._meta.concrete_fields:
            if isinstance(field, FileField):
                rows = model._base_manager.using(using).exclude(**{field.name: ""})
                yield from rows.order_by("pk").values_list(field.name, flat=True).iterator()


def columns_of(model: type[Model]) -> list[Field]:
    """Return the columns that are written: those that the database works out are not."""
    return [field for field in model._meta.concrete_fields if not field.generated]


def row_lines(model: type[Model], using: str) -> Iterator[bytes]:
    """Yield a line of JSON with the names of the columns, then one for each row, by key."""
    names = [field.attname for field in columns_of(model)]
    yield _line(names)
    rows = model._base_manager.using(using).order_by("pk").values_list(*names)
    for row in rows.iterator(chunk_size=5000):
        yield _line(row)


def rows_read(model: type[Model], lines: Iterator[bytes]) -> Iterator[Model]:
    """Yield the rows of a table from the lines that a copy has of it."""
    fields = {field.attname: field for field in model._meta.concrete_fields}
    heads = json.loads(next(lines))
    for line in lines:
        values = zip(heads, json.loads(line), strict=True)
        yield model(**{name: fields[name].to_python(value) for name, value in values})


def tally(model: type[Model], using: str) -> dict[str, int]:
    """Return how many rows a table has, and the sums of its amounts in their smallest units."""
    sums = {field.attname: Sum(field.attname) for field in _amounts(model)}
    found = model._base_manager.using(using).order_by().aggregate(rows=Count("pk"), **sums)
    return {"rows": found["rows"]} | {
        field.attname: int(field.get_prep_value(found[field.attname]) or 0)
        for field in _amounts(model)
    }


def tally_of_lines(model: type[Model], lines: Iterator[bytes]) -> dict[str, int]:
    """Return the same, counted from what `row_lines` wrote."""
    names = json.loads(next(lines))
    places = [(field.attname, names.index(field.attname), field) for field in _amounts(model)]
    rows, sums = 0, {name: 0 for name, _, _ in places}
    for line in lines:
        rows += 1
        row = json.loads(line)
        for name, place, field in places:
            sums[name] += field.get_prep_value(row[place]) or 0
    return {"rows": rows, **sums}


def _amounts(model: type[Model]) -> list[WholeUnitsField]:
    return [field for field in columns_of(model) if isinstance(field, WholeUnitsField)]


def _line(values: Any) -> bytes:
    return json.dumps(values, default=str, ensure_ascii=False).encode() + b"\n"


def own_models() -> list[Any]:
    """Return the model of every table of the program's own apps."""
    own = [app for app in apps.get_app_configs() if Path(app.path).parent == settings.BASE_DIR]
    return [one for app in own for one in app.get_models(include_auto_created=True)]


class NoRoom(Refusal):
    """The disk has no room for the second copy of the database that a whole export needs."""

    def __init__(self, *, needed: int, free: int) -> None:
        super().__init__(
            f"A copy of the database is laid beside it first, which needs about {_mb(needed)} MB, "
            f"and the disk that holds {settings.DATA_DIR} has {free // MB} MB free. Make room "
            "there and ask again."
        )


def refuse_without_room() -> None:
    """Raise NoRoom where the disk of the data folder can't take a second copy of the database.

    PostgreSQL keeps a moment for whoever reads without one.
    """
    if connection.vendor != "sqlite":
        return
    with connection.cursor() as cursor:
        cursor.execute(
            "SELECT page_size * (page_count - freelist_count) FROM pragma_page_size, "
            "pragma_page_count, pragma_freelist_count"
        )
        [needed] = cursor.fetchone()
    free = shutil.disk_usage(settings.DATA_DIR).free
    if free < needed + KEPT_FREE:
        raise NoRoom(needed=needed + KEPT_FREE, free=free)


def _mb(size: int) -> int:
    return -(-size // MB)


@contextmanager
def database_snapshot() -> Iterator[Path | None]:
    """Open the alias `SNAPSHOT`, this thread's own, on the books of this moment.

    Yield the file that it reads, which on SQLite is a copy, so that nobody waits. Elsewhere there
    is none: the database itself keeps the moment for us. Raises NoRoom.
    """
    refuse_without_room()
    with TemporaryDirectory(prefix="copy-", dir=settings.DATA_DIR) as folder:
        books = connection.copy(alias=SNAPSHOT)
        # A copy of SQLite's file, because a long read of the file itself would keep its journal
        # growing.
        copied = Path(folder) / "gramil.sqlite3" if connection.vendor == "sqlite" else None
        if copied:
            _copy_database(books, copied)
            books.settings_dict["NAME"] = str(copied)
        else:
            from psycopg import IsolationLevel

            # One moment for all tables: rows written meanwhile would not add up with those read
            # before.
            books.settings_dict["OPTIONS"]["isolation_level"] = IsolationLevel.REPEATABLE_READ
        connections[SNAPSHOT] = books
        try:
            with transaction.atomic(using=SNAPSHOT), books.cursor() as moment:
                moment.execute("SELECT 1")  # the first question is when a snapshot is taken
                yield copied
        finally:
            books.close()
            del connections[SNAPSHOT]


def _copy_database(books: BaseDatabaseWrapper, to: Path) -> None:
    """Copy by a connection of its own: what is still being written stays out.

    So does what would let somebody in, and what was deleted and lies about in free pages.
    """
    with books.cursor() as cursor:
        cursor.execute("VACUUM INTO %s", [str(to)])
    books.close()
    to.chmod(0o600)
    with closing(sqlite3.connect(to)) as copied:
        copied.execute("PRAGMA secure_delete = ON")
        rows = copied.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
        there = {name for [name] in rows}  # before an update some are not
        for table in there.intersection(LETS_SOMEBODY_IN):
            copied.execute(f"DELETE FROM {table}")
        copied.commit()


def copies_in(folder: Path) -> dict[date, list[Path]]:
    """Return the copies in a folder by their day, each day's oldest first."""
    copies: dict[date, list[Path]] = {}
    if folder.is_dir():
        for path in sorted(folder.iterdir()):
            if named := NAME.fullmatch(path.name):
                copies.setdefault(date.fromisoformat(named[1]), []).append(path)
    return copies


def database_fault() -> str:
    """Return what is wrong with the database file by its own whole check, or nothing.

    PostgreSQL checks what it reads by itself where it was set up with checksums.
    """
    if connection.vendor != "sqlite":
        return ""
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA integrity_check(1)")
        [found] = cursor.fetchone()
    return "" if found == "ok" else f"The database is damaged ({found})."


def has_books() -> bool:
    """Say whether the database holds a workshop, a person or stock, whatever its version."""
    tables = set(connection.introspection.table_names())
    held = ("auth_user", "inventory_workshop", "inventory_stockentry")
    with connection.cursor() as cursor:
        for table in tables.intersection(held):
            cursor.execute(f"SELECT 1 FROM {table} LIMIT 1")
            if cursor.fetchone():
                return True
    return False
