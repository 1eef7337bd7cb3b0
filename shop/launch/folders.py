"""Whether a folder can be written and its disk has room for what comes next."""

import shutil
import tempfile
from pathlib import Path

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
