"""Whether a folder can be written, and how a file is written so that a power cut can't halve it."""

import os
import shutil
import sys
import tempfile
from pathlib import Path
from typing import IO

from shop.launch.telling import Problem


def open_folder(folder: Path, *, called: str, instead: str) -> None:
    """Make the folder, for its owner only, if it is not there, and see that it can be written.

    `called` names it in the sentence of the Problem and `instead` says what else would do.
    """
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            pass
    except OSError as error:
        raise Problem(
            f"{called} {folder} can't be written ({error.strerror}): correct its owner and "
            f"rights, or {instead}."
        ) from error


def refuse_full_disk(folder: Path, *, needed_mb: int) -> None:
    """Raise Problem when the disk that holds `folder` has less than `needed_mb` megabytes free."""
    free_mb = shutil.disk_usage(folder).free // 1_000_000
    if free_mb < needed_mb:
        raise Problem(
            f"The disk that holds {folder} has {free_mb} MB free and about {needed_mb} MB are "
            "needed: make room there and run the same line again."
        )


def write_whole(path: Path, text: str) -> None:
    """Write a file for its owner only: after a power cut it holds all of `text`, or what it did."""
    number, unfinished = tempfile.mkstemp(dir=path.parent, prefix=".unfinished-", text=True)
    try:
        with os.fdopen(number, "w", encoding="utf-8") as written:
            written.write(text)
            written.flush()
            os.fsync(written.fileno())
        os.replace(unfinished, path)
    except BaseException:
        os.unlink(unfinished)
        raise
    make_lasting(path.parent)


def make_lasting(folder: Path) -> None:
    """See to it that the names of a folder's files are on the disk; Windows does so by itself."""
    if os.name == "nt":
        return
    opened = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(opened)
    finally:
        os.close(opened)


def sync(file: IO[bytes]) -> None:
    """See to it that what was written to an open file is on the disk."""
    file.flush()
    os.fsync(file.fileno())


def hold_alone(path: Path) -> IO[str] | None:
    """Return a file that this process alone holds while it is open, or None if another does."""
    file = path.open("a")
    try:
        if sys.platform == "win32":
            import msvcrt

            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        file.close()
        return None
    return file
