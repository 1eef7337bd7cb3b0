"""Everything out: one ZIP file, written while it is being sent."""

import csv
from collections.abc import Iterable, Iterator
from datetime import datetime
from io import StringIO
from itertools import chain
from pathlib import Path
from typing import Any
from zipfile import ZipFile

from django.http import StreamingHttpResponse
from django.template.loader import render_to_string
from django.utils import timezone

from inventory.models import Workshop
from shop.archive.queries import all_tables, column_rows
from shop.copies.documents.copy import Content, copy_contents, entry_of
from shop.copies.queries import SNAPSHOT, database_snapshot, refuse_without_room

PIECE = 1 << 16
"""How much is written, in characters or bytes, before it is sent on."""


class Outbox:
    """A file that is only written to; whoever sends it takes what was written meanwhile."""

    def __init__(self) -> None:
        self._written: list[bytes] = []

    def write(self, data: bytes) -> int:
        self._written.append(bytes(data))
        return len(data)

    def flush(self) -> None:
        """There is nothing to push on: all of it waits to be taken."""

    def take(self) -> bytes:
        taken, self._written = b"".join(self._written), []
        return taken


def everything_zip(workshop: Workshop, made_at: datetime) -> Iterator[bytes]:
    """Yield the file bit by bit: a letter, tables as CSV, kept files, and on SQLite the database.

    Unpacked, one with a database is a data folder from which the program goes on.
    """
    outbox = Outbox()
    with database_snapshot() as database, ZipFile(outbox, "w") as folder:  # type: ignore[call-overload]
        for name, content in _contents(workshop, made_at, database):
            # Sent while it is written, so that a large shop needs no memory and waits for no
            # first byte.
            with folder.open(entry_of(name, made_at), "w", force_zip64=True) as file:
                for bit in content:
                    file.write(bit)
                    yield outbox.take()
    yield outbox.take()


def _contents(workshop: Workshop, made_at: datetime, database: Path | None) -> Iterator[Content]:
    """Yield the name and the bytes of each file, one to be read to its end before the next."""
    letter = {"workshop": workshop, "made_at": made_at, "has_database": bool(database)}
    yield "READ ME.txt", [render_to_string("shop/papers/everything.txt", letter).encode()]
    tables = all_tables()
    yield "tables/columns.csv", _csv(column_rows(tables))
    for table in tables:
        yield f"tables/{table.name}.csv", _csv(chain([table.heads], table.rows(SNAPSHOT)))
    yield from copy_contents(made_at)
    if database:
        with database.open("rb") as file:
            yield "gramil.sqlite3", iter(lambda: file.read(PIECE), b"")


def _csv(rows: Iterable[list[Any]]) -> Iterator[bytes]:
    """Yield `rows` as CSV in UTF-8 with its mark."""
    text = StringIO("\ufeff")
    text.seek(0, 2)
    writer = csv.writer(text)
    for row in rows:
        writer.writerow(row)
        if text.tell() > PIECE:
            yield text.getvalue().encode()
            text.seek(0)
            text.truncate()
    yield text.getvalue().encode()


def send_everything(workshop: Workshop) -> StreamingHttpResponse:
    """Return the file of all that is in the books now; the first of it leaves at once.

    Raises NoRoom before anything is sent.
    """
    refuse_without_room()
    made_at = timezone.localtime()
    answer = StreamingHttpResponse(
        everything_zip(workshop, made_at), content_type="application/zip"
    )
    answer["Content-Disposition"] = f'attachment; filename="gramil-{made_at:%Y-%m-%d}.zip"'
    answer["Cache-Control"] = "no-store"
    return answer
