"""The data folder: the maker's database, pictures, secret and collected files in one place."""

import json
from pathlib import Path

from shop.launch.folders import open_folder, refuse_full_disk, write_whole
from shop.launch.requirements import ROOT, release
from shop.launch.telling import Problem

DEFAULT = ROOT / ".data"
MARKER = "gramil.json"
ROOM_MB = 100


def open_data_folder(folder: Path, *, version: str) -> None:
    """Make the folder if it is not there, and see that this version of the program may use it.

    Raises Problem when it can't be written, has no room or was used by a newer version.
    """
    open_folder(folder, called="The data folder", instead="name another with --data")
    refuse_full_disk(folder, needed_mb=ROOM_MB)
    refuse_newer_folder(folder, version=version)


def refuse_newer_folder(folder: Path, *, version: str) -> None:
    """Raise Problem when a newer version of the program than `version` has used the folder."""
    last = last_version(folder)
    if release(last) > release(version):
        raise Problem(
            f"The data folder {folder} was last used by Gramil {last} and this is Gramil "
            f"{version}: start the newer program, or name another folder with --data."
        )


def last_version(folder: Path) -> str:
    """Return the newest version that has used the folder, or "" for a new or unmarked one."""
    try:
        marker = json.loads((folder / MARKER).read_text(encoding="utf-8"))
        return str(marker["version"])
    except (OSError, ValueError, KeyError, TypeError):
        return ""


def mark(folder: Path, *, version: str) -> None:
    """Note in the folder that this version of the program has used it."""
    if last_version(folder) != version:
        write_whole(folder / MARKER, json.dumps({"version": version}) + "\n")
