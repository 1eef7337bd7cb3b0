"""A copy of the books as one file: exact rows, kept files, and a list by which all is recounted."""

import json
from collections.abc import Iterable, Iterator
from datetime import datetime
from hashlib import sha256
from pathlib import Path
from typing import Any
from zipfile import ZIP_DEFLATED, ZIP_STORED, BadZipFile, ZipFile, ZipInfo

from django.apps import apps
from django.apps.registry import Apps
from django.core.files.storage import default_storage
from django.db import connections
from django.db.migrations.recorder import MigrationRecorder

from inventory.base.refusals import Refusal
from shop.copies.queries import (
    SNAPSHOT,
    copied_models,
    database_snapshot,
    kept_names,
    row_lines,
    tally,
    tally_of_lines,
)
from shop.launch.requirements import program_version

LIST = "copy.json"
PACKED_ALREADY = (".jpg", ".jpeg", ".png", ".pdf")
Content = tuple[str, Iterable[bytes]]


class BadCopy(Refusal):
    """A copy that is damaged, or no copy at all."""


def write_copy(path: Path, made_at: datetime, registry: Apps = apps) -> None:
    """Write the books of this moment to `path`, their tables being what `registry` knows."""
    with database_snapshot(), ZipFile(path, "w") as folder:
        for name, bits in copy_contents(made_at, registry):
            with folder.open(entry_of(name, made_at), "w", force_zip64=True) as file:
                for bit in bits:
                    file.write(bit)


def entry_of(name: str, made_at: datetime) -> ZipInfo:
    """Return what a ZIP says of one of its files: packed, unless its kind is already."""
    about = ZipInfo(name, made_at.timetuple()[:6])
    about.compress_type = ZIP_STORED if name.endswith(PACKED_ALREADY) else ZIP_DEFLATED
    return about


def copy_contents(made_at: datetime, registry: Apps = apps) -> Iterator[Content]:
    """Yield the files of a copy within `database_snapshot`, name and bytes; the list comes last."""
    models = copied_models(registry)
    files: dict[str, str] = {}
    missing = []
    for name in kept_names(models, SNAPSHOT):
        try:
            with default_storage.open(name) as file:
                content = file.read()
        except OSError:
            missing.append(f"{name}\n")
            continue
        files[name] = sha256(content).hexdigest()
        yield f"media/{name}", [content]
    if missing:
        yield "media/missing.txt", ["".join(missing).encode()]
    tables = {}
    for model in models:
        tables[model._meta.label] = tally(model, SNAPSHOT)
        yield rows_name(model._meta.label), row_lines(model, SNAPSHOT)
    about = {
        "gramil": program_version(),
        "made_at": made_at.isoformat(),
        "migrations": sorted(MigrationRecorder(connections[SNAPSHOT]).applied_migrations()),
        "tables": tables,
        "files": files,
    }
    yield LIST, [json.dumps(about, indent=1).encode()]


def rows_name(label: str) -> str:
    """Return the name under which a copy keeps the rows of a table."""
    return f"rows/{label}.jsonl"


def read_list(folder: ZipFile) -> dict[str, Any]:
    """Return the list of a copy. Raises BadCopy where there is none."""
    try:
        about: dict[str, Any] = json.loads(folder.read(LIST))
    except (KeyError, ValueError):
        raise BadCopy("This file is not a backup of Gramil: it has no list of contents.") from None
    return about


def open_copy(path: Path) -> ZipFile:
    """Return a copy opened for reading. Raises BadCopy for what is no ZIP."""
    try:
        return ZipFile(path)
    except (BadZipFile, OSError) as error:
        raise BadCopy(f"{path} can't be read as a backup ({error}).") from None


def check_copy(path: Path, registry: Apps = apps) -> dict[str, Any]:
    """Read a copy to its end and return its list. Raises BadCopy at the first difference.

    Every table is recounted and every amount added up, beside what the database said of them.
    """
    with open_copy(path) as folder:
        about = read_list(folder)
        for label, said in about["tables"].items():
            try:
                with folder.open(rows_name(label)) as lines:
                    found = tally_of_lines(registry.get_model(label), iter(lines))
            except (BadZipFile, KeyError, ValueError, LookupError) as error:
                raise BadCopy(f"The copy's table {label} can't be read ({error}).") from None
            if found != said:
                raise BadCopy(f"The copy's table {label} has {found} and should have {said}.")
        for name, digest in about["files"].items():
            try:
                content = folder.read(f"media/{name}")
            except (BadZipFile, KeyError) as error:
                raise BadCopy(f"The copy's file {name} can't be read ({error}).") from None
            if sha256(content).hexdigest() != digest:
                raise BadCopy(f"The copy's file {name} is not what it was.")
    return about
