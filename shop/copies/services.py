"""Copies are kept and read back in; files that no row names are put aside."""

import filecmp
import shutil
import subprocess
import sys
import threading
from collections.abc import Iterator
from datetime import date, datetime
from itertools import islice
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any
from zipfile import ZipFile

from django.apps import apps
from django.apps.registry import Apps
from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.storage import FileSystemStorage, default_storage
from django.core.management.color import no_style
from django.core.management.sql import emit_post_migrate_signal
from django.db import DEFAULT_DB_ALIAS, connection, transaction

from inventory.base.refusals import Refusal
from shop.base.migrating import WholeSteps, ends_of, tables_after
from shop.copies.calc import days_to_keep
from shop.copies.documents.copy import check_copy, open_copy, read_list, rows_name, write_copy
from shop.copies.documents.sealing import seal, unsealed
from shop.copies.queries import (
    copied_models,
    copies_in,
    database_fault,
    has_books,
    kept_names,
    rows_read,
    tally,
)
from shop.launch.folders import make_lasting, sync

PUT_ASIDE = "unclaimed"
"""Where in the data folder they go: whoever put back an older database may still want them."""

UNFINISHED = ".unfinished-"
AT_ONCE = 500


class BooksThere(Refusal):
    """A copy is to be read into a database that holds books."""

    def __init__(self) -> None:
        super().__init__(
            "This database holds a workshop already, and a copy is read into an empty one only. "
            "Name another data folder or database."
        )


class DamagedBooks(Refusal):
    """The database itself is damaged, so that a copy of it would be too."""


def keep_copy(
    *, folder: Path, made_at: datetime, passphrase: str = "", registry: Apps = apps, name: str = ""
) -> Path:
    """Return a copy of the books in `folder`: written, recounted, synced, then given its name.

    With a passphrase it is locked. A copy with a `name` of its own is kept until it is deleted; of
    the others 7 days, 4 weeks and 12 months stay. Raises DamagedBooks, BadCopy, and OSError where
    the folder can't be written.
    """
    if fault := database_fault():
        raise DamagedBooks(fault)
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    ending = ".locked" if passphrase else ".zip"
    target = folder / f"{name or 'gramil'}-{made_at:%Y-%m-%d-%H%M%S}{ending}"
    with TemporaryDirectory(prefix="copy-", dir=settings.DATA_DIR) as scratch:
        plain = Path(scratch) / "copy.zip"
        plain.touch(mode=0o600)
        write_copy(plain, made_at, registry)
        check_copy(plain, registry)
        _place(plain, target, passphrase)
    _thin_out(folder)
    return target


def _place(plain: Path, target: Path, passphrase: str) -> None:
    """Put a checked copy where it is kept, and read back what lies there before it has its name."""
    unfinished = target.with_name(UNFINISHED + target.name)
    unfinished.touch(mode=0o600)
    try:
        with unfinished.open("wb") as file:
            if passphrase:
                seal(plain, file, passphrase)
            else:
                with plain.open("rb") as content:
                    shutil.copyfileobj(content, file)
            sync(file)
        with unsealed(unfinished, passphrase) as readable:
            if not filecmp.cmp(plain, readable, shallow=False):
                raise OSError(f"{target} does not read back as it was written.")
        unfinished.replace(target)
    finally:
        unfinished.unlink(missing_ok=True)
    make_lasting(target.parent)


def _thin_out(folder: Path) -> None:
    copies = copies_in(folder)
    kept = days_to_keep(copies)
    for day, paths in copies.items():
        for path in paths[:-1] if day in kept else paths:
            path.unlink(missing_ok=True)


def restore_books(*, file: Path, passphrase: str = "") -> dict[str, Any]:
    """Read a copy into an empty database, whichever kind wrote it; return what the copy lists.

    The tables are first made as they were when it was written, and brought up to date afterwards.
    All is recounted before it counts. Raises BooksThere, BadCopy, WrongPassphrase, and Refusal on
    a copy of a newer version.
    """
    with unsealed(file, passphrase) as plain, open_copy(plain) as folder:
        about = read_list(folder)
        executor = WholeSteps(connection)
        state = _tables_of(executor, about)
        check_copy(plain, state)
        with transaction.atomic():
            _put_rows_in(folder, about, state)
            _put_files_in(folder, about)
    executor = WholeSteps(connection)
    executor.migrate(executor.loader.graph.leaf_nodes())
    emit_post_migrate_signal(verbosity=0, interactive=False, db=DEFAULT_DB_ALIAS)
    return about


def _tables_of(executor: WholeSteps, about: dict[str, Any]) -> Apps:
    """Make the tables as the copy's version had them; return their models."""
    labels = {model._meta.app_label for model in copied_models()}
    own = {(app, name) for app, name in about["migrations"] if app in labels}
    if newer := sorted(own - set(executor.loader.graph.nodes)):
        raise Refusal(
            f"The copy was written by a newer Gramil ({'.'.join(newer[0])}). Start the newer one."
        )
    if has_books():
        raise BooksThere
    libraries = {step for step in executor.loader.graph.nodes if step[0] not in labels}
    executor.migrate(ends_of(executor, own | libraries))
    return tables_after(executor, own)


def _put_rows_in(folder: ZipFile, about: dict[str, Any], state: Apps) -> None:
    models = [state.get_model(label) for label in about["tables"]]
    for model in models:  # what came with the empty tables is in the copy too
        model._base_manager.all()._raw_delete(DEFAULT_DB_ALIAS)
    for model in models:
        with folder.open(rows_name(model._meta.label)) as lines:
            rows = rows_read(model, iter(lines))
            while some := list(islice(rows, AT_ONCE)):
                model._base_manager.bulk_create(some)
    for model in models:
        if (found := tally(model, DEFAULT_DB_ALIAS)) != (
            said := about["tables"][model._meta.label]
        ):
            raise Refusal(f"{model._meta.label} has {found} and should have {said}.")
    with connection.cursor() as cursor:
        for line in connection.ops.sequence_reset_sql(no_style(), models):
            cursor.execute(line)


def _put_files_in(folder: ZipFile, about: dict[str, Any]) -> None:
    for name in about["files"]:
        content = folder.read(f"media/{name}")
        if default_storage.exists(name):
            with default_storage.open(name) as there:
                if there.read() != content:
                    raise Refusal(f"There is another file {name} already. Move it aside.")
        else:
            default_storage.save(name, ContentFile(content))


def copy_in_the_background(*, on: date) -> bool:
    """Begin a copy in a process of its own where `on` has none yet; say whether one was begun.

    Nobody waits for it, and the shop goes on working beside it.
    """
    if on in copies_in(settings.COPIES_DIR):
        return False
    command = [sys.executable, "-m", "django", "backup", "--if-due"]
    how = {"cwd": settings.BASE_DIR, "check": False}
    threading.Thread(target=subprocess.run, args=(command,), kwargs=how, daemon=True).start()
    return True


def put_unclaimed_aside(*, written_before: float) -> int:
    """Move every file that no row names out of the kept ones; return how many there were.

    `written_before` is in seconds since 1970: who else works on the same files may have written
    one and not yet its row. Files that are kept elsewhere than on a disk are left alone.
    """
    if not isinstance(default_storage, FileSystemStorage):
        return 0
    folder = Path(default_storage.location)
    unclaimed = list(_unclaimed(folder, written_before))
    for path in unclaimed:
        target = settings.DATA_DIR / PUT_ASIDE / path.relative_to(folder)
        target.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        path.replace(target)
    return len(unclaimed)


def _unclaimed(folder: Path, written_before: float) -> Iterator[Path]:
    # The files are listed first: a row may be written while they are looked at, but none goes.
    found = [path for path in folder.rglob("*") if path.is_file()]
    named = set(kept_names(copied_models(), DEFAULT_DB_ALIAS))
    for path in found:
        is_old = path.stat().st_mtime <= written_before
        if is_old and path.relative_to(folder).as_posix() not in named:
            yield path
