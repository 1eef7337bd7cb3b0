"""Whether a disk has room for what comes next."""

import shutil
from pathlib import Path

from shop.launch.telling import Problem


def refuse_full_disk(folder: Path, *, needed_mb: int) -> None:
    """Raise Problem when the disk that holds `folder` has less than `needed_mb` megabytes free."""
    free_mb = shutil.disk_usage(folder).free // 1_000_000
    if free_mb < needed_mb:
        raise Problem(
            f"The disk that holds {folder} has {free_mb} MB free and about {needed_mb} MB are "
            "needed: make room there and run the same line again."
        )
