"""The data folder: the maker's database, pictures, secret and collected files in one place."""

import json
import os
import shutil
from contextlib import AbstractContextManager, nullcontext
from pathlib import Path
from typing import Any

from shop.launch.folders import hold_alone, open_folder, refuse_full_disk, write_whole
from shop.launch.requirements import ROOT, release
from shop.launch.telling import Problem

DEFAULT = ROOT / ".data"
MARKER = "gramil.json"
LOCK = "gramil.lock"
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
    return str(_marker(folder).get("version", ""))


def mark(folder: Path, *, version: str) -> None:
    """Note in the folder that this version of the program has used it."""
    if last_version(folder) != version:
        _note(folder, version=version)


def figures_folder(folder: Path) -> Path:
    """Return an empty folder in which the processes that serve together add up what they count."""
    shared = folder / "figures"
    shutil.rmtree(shared, ignore_errors=True)
    shared.mkdir()
    return shared


def copies_named(folder: Path) -> Path:
    """Return where copies of the folder's books are kept: where its owner said, else within it."""
    return Path(_marker(folder).get("copies") or folder / "copies")


def name_copies(folder: Path, copies: Path) -> None:
    """Note where copies are kept from now on. Raises Problem where nothing can be written."""
    open_folder(copies, called="The folder for copies", instead="name another with --copies")
    _note(folder, copies=str(copies))


def refuse_second_server(folder: Path) -> AbstractContextManager[object]:
    """Return what keeps a second server off the folder while it is held.

    Raises Problem when one has it. Over PostgreSQL several may serve the same books.
    """
    if os.environ.get("DATABASE_URL", "").startswith("postgres"):
        return nullcontext()
    held = hold_alone(folder / LOCK)
    if held is None:
        raise Problem(
            f"Gramil already runs with the data folder {folder}: use that one, or name another "
            "folder with --data."
        )
    return held


def _marker(folder: Path) -> dict[str, Any]:
    try:
        marker = json.loads((folder / MARKER).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return marker if isinstance(marker, dict) else {}


def _note(folder: Path, **said: str) -> None:
    write_whole(folder / MARKER, json.dumps(_marker(folder) | said) + "\n")
