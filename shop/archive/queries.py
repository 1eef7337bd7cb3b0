"""Every table in plain words, read as the books stand at one moment."""

import json
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

from django.contrib.auth.models import Group, User
from django.db import DEFAULT_DB_ALIAS
from django.db.models import (
    BooleanField,
    CharField,
    DateTimeField,
    DecimalField,
    Field,
    JSONField,
    Model,
    TextField,
)
from django.utils import timezone

from inventory.base.tables import safe_in_sheet
from inventory.fields import WholeUnitsField
from shop.copies.queries import LEFT_OUT, own_models

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
    models = [*own_models(), User, Group, User.groups.through]
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
