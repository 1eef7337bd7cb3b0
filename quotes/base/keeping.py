"""Papers that are printed once and kept beside their row, together or not at all."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from hashlib import sha256
from typing import Protocol

from django.core.files.base import ContentFile
from django.db import transaction
from django.db.models.fields.files import FieldFile

_written: ContextVar[tuple[list[FieldFile], ...]] = ContextVar("_written", default=())


class PrintedRow(Protocol):
    """A row that keeps a paper and its hash."""

    document: FieldFile
    document_sha256: str


@contextmanager
def atomic_with_files() -> Iterator[None]:
    """Open a transaction that takes the papers it kept with it when it is rolled back.

    A decorator too, like `transaction.atomic`. A database takes back its rows, a folder of files
    nothing.
    """
    own: list[FieldFile] = []
    token = _written.set((*_written.get(), own))
    try:
        with transaction.atomic():
            yield
    except BaseException:
        for kept in own:
            kept.storage.delete(str(kept.name))
        raise
    finally:
        _written.reset(token)


def store_paper(row: PrintedRow, name: str, printed: bytes) -> None:
    """Keep a paper under `name` and the beginning of its hash. The row is left to be saved."""
    row.document_sha256 = sha256(printed).hexdigest()
    file_name = f"{name}-{row.document_sha256[:8]}.pdf"
    row.document.save(file_name, ContentFile(printed), save=False)
    for opened in _written.get():
        opened.append(row.document)
