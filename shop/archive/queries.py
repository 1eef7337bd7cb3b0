"""Every table in plain words, read as the books stand at one moment."""

import json
import sqlite3
from collections.abc import Callable, Iterable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from functools import cached_property, partial
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from django.apps import apps
from django.conf import settings
from django.contrib.auth.models import Group, User
from django.core.files import File
from django.db import DEFAULT_DB_ALIAS, connection, connections, transaction
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import (
    BooleanField,
    CharField,
    DateTimeField,
    DecimalField,
    Field,
    FileField,
    JSONField,
    Model,
    TextField,
)
from django.utils import timezone

from inventory.base.tables import safe_in_sheet
from inventory.fields import WholeUnitsField

LEFT_OUT = {"inventory.keptanswer", "shop.pairingcode"}
"""Tables of passing things: answers that the API may have to repeat, codes for pairing."""
SECRETS = {"password", "secret_sha256", "token_id"}
Words = Callable[[Any], str]


@dataclass(frozen=True)
class BooksTable:
    """One table of the books; `name` is its app and what its rows are, such as `shop/builds`."""

    name: str
    model: type[Model]

    @cached_property
    def fields(self) -> list[Field]:
        fields = self.model._meta.concrete_fields
        return [field for field in fields if field.attname not in SECRETS]

    @property
    def heads(self) -> list[str]:
        return [field.attname for field in self.fields]

    def rows(self, using: str = DEFAULT_DB_ALIAS) -> Iterator[list[Any]]:
        """Yield every row, the oldest first, a few thousand in memory at a time.

        What a CSV file can't say by itself is put in words.
        """
        found = [(place, _words_of(field)) for place, field in enumerate(self.fields)]
        worded = [(place, words) for place, words in found if words]
        rows = self.model._base_manager.using(using).order_by("pk").values_list(*self.heads)
        for row in map(list, rows.iterator(chunk_size=5000)):
            for place, words in worded:
                if row[place] is not None:
                    row[place] = words(row[place])
            yield row


def all_tables() -> list[BooksTable]:
    """Return every table of the program's own apps, and of the people who sign in."""
    own = [app for app in apps.get_app_configs() if Path(app.path).parent == settings.BASE_DIR]
    models: list[Any] = [one for app in own for one in app.get_models(include_auto_created=True)]
    models += [User, Group, User.groups.through]
    kept = [model for model in models if model._meta.label_lower not in LEFT_OUT]
    return [BooksTable(_name_of(model), model) for model in kept]


def column_rows(tables: Iterable[BooksTable]) -> Iterator[list[str]]:
    """Yield what each column of `tables` holds: a row of heads, then one for each column."""
    tables = list(tables)
    named: dict[Any, str] = {table.model: table.name for table in tables}
    yield ["table", "column", "what it is", "note", "key of", "one of"]
    for table in tables:
        for field in table.fields:
            key_of = named.get(field.related_model, "")
            choices = ", ".join(str(word) for _, word in field.flatchoices)
            about = [str(field.verbose_name), str(field.help_text)]
            yield [table.name, field.attname, *about, key_of, choices]


def kept_files(
    tables: Iterable[BooksTable], using: str = DEFAULT_DB_ALIAS
) -> Iterator[tuple[str, Callable[[], File]]]:
    """Yield the name of every file that `tables` keep, with what opens it."""
    for table in tables:
        for field in table.fields:
            if isinstance(field, FileField):
                rows = table.model._base_manager.using(using).order_by("pk")
                names = rows.exclude(**{field.name: ""}).values_list(field.name, flat=True)
                for name in names.iterator():
                    yield name, partial(field.storage.open, name)


def _name_of(model: type[Model]) -> str:
    meta = model._meta
    if not meta.auto_created:
        return f"{meta.app_label}/{meta.verbose_name_plural}"
    ends: list[Any] = [field.related_model for field in meta.fields if field.is_relation]
    return f"{meta.app_label}/{', '.join(str(end._meta.verbose_name_plural) for end in ends)}"


def _words_of(field: Field) -> Words | None:
    """Return what puts a value of `field` in words, None where it is written as it is.

    Choices are written as pages show them, instants in the shop's time.
    """
    if field.flatchoices:
        shown = {value: str(word) for value, word in field.flatchoices}
        return lambda value: shown.get(value, str(value))
    if isinstance(field, DateTimeField):
        zone = timezone.get_current_timezone()
        return lambda value: value.astimezone(zone).isoformat(timespec="seconds")
    return next((words for kind, words in IN_WORDS if isinstance(field, kind)), None)


IN_WORDS: list[tuple[tuple[type[Field], ...], Words]] = [
    ((CharField, TextField), safe_in_sheet),
    ((BooleanField,), lambda value: "yes" if value else "no"),
    ((DecimalField, WholeUnitsField), lambda value: f"{value.normalize() + 0:f}"),
    ((JSONField,), lambda value: json.dumps(value, ensure_ascii=False)),
]

SNAPSHOT = "still"
"""The database alias under which the books of one moment are read."""


@contextmanager
def database_snapshot() -> Iterator[Path | None]:
    """Open the alias `SNAPSHOT`, this thread's own, on the books of this moment.

    Yield the file that it reads, which on SQLite is a copy, so that nobody waits. Elsewhere there
    is none: the database itself keeps the moment for us.
    """
    with TemporaryDirectory(prefix="copy-", dir=settings.DATA_DIR) as folder:
        books = connection.copy(alias=SNAPSHOT)
        copied = Path(folder) / "gramil.sqlite3" if connection.vendor == "sqlite" else None
        if copied:
            _copy_database(books, copied)
            books.settings_dict["NAME"] = str(copied)
        else:
            from psycopg import IsolationLevel

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
    """Copy by a connection of its own: what is still being written stays out."""
    with closing(sqlite3.connect(to)) as target:
        books.ensure_connection()
        books.connection.backup(target)
    books.close()
