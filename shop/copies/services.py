"""Files that no row names, left by what was cut off between file and row: they are put aside."""

from collections.abc import Iterator
from pathlib import Path

from django.conf import settings
from django.core.files.storage import FileSystemStorage, default_storage
from django.db import DEFAULT_DB_ALIAS

from shop.copies.queries import copied_models, kept_names

PUT_ASIDE = "unclaimed"
"""Where in the data folder they go: whoever put back an older database may still want them."""


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
