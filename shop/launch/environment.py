"""The program's own environment: a hidden folder of libraries beside the code."""

import importlib.util
import json
import os
import subprocess
import sys
from pathlib import Path

from shop.launch import system
from shop.launch.folders import open_folder, refuse_full_disk
from shop.launch.installing import install
from shop.launch.requirements import ROOT, all_installed, fingerprint, requirements
from shop.launch.telling import Problem, say

FOLDER = ROOT / ".venv"
STAMP = "gramil-installed.json"
ROOM_TO_RUN_MB = 1200
ROOM_TO_TEST_MB = 2000


def enter_environment(argv: list[str], *, tests: bool = False) -> None:
    """Return once this Python has all that is needed, or start over with the one that does.

    The environment is made, or brought up to date, when the list of libraries asks for it.
    Raises Problem when that fails.
    """
    wanted = requirements(tests=tests)
    if not inside() and all_installed(wanted):
        return
    if not is_ready(wanted):
        make_ready(wanted, tests=tests)
    if not inside():
        start_over(argv)


def inside() -> bool:
    """Say whether this very process runs in the program's own environment."""
    return Path(sys.prefix).resolve() == FOLDER.resolve()


def is_ready(wanted: list[str]) -> bool:
    """Say whether the environment holds this list, by the stamp, and its Python still runs."""
    return fingerprint(wanted) in _stamped() and (inside() or runs("import django"))


def make_ready(wanted: list[str], *, tests: bool) -> None:
    """Make the environment where it is missing or broken and install the list into it."""
    open_folder(ROOT, called="The program's folder", instead="copy it to a place of your own")
    refuse_full_disk(ROOT, needed_mb=ROOM_TO_TEST_MB if tests else ROOM_TO_RUN_MB)
    if not inside() and not runs("import pip"):
        create()
    install(python(), wanted)
    lists = {fingerprint(wanted), fingerprint(requirements())}
    (FOLDER / STAMP).write_text(json.dumps(sorted(lists)), encoding="utf-8")


def create() -> None:
    """Make an empty environment. Raises Problem when Python's own tools for it are missing."""
    if not has_venv_tools():
        _install_venv_tools()
    say(f"Making an environment in {FOLDER}.")
    made = subprocess.run(
        [sys.executable, "-m", "venv", "--clear", str(FOLDER)],
        capture_output=True,
        text=True,
        check=False,
    )
    if made.returncode:
        reason = (made.stderr or made.stdout).strip().splitlines()[-1:]
        raise Problem(f"Python could not make {FOLDER}: {' '.join(reason) or 'no reason given'}.")


def has_venv_tools() -> bool:
    """Say whether Python can make environments; Debian ships that part as its own package."""
    return all(importlib.util.find_spec(name) for name in ("venv", "ensurepip"))


def python() -> Path:
    """Return the path of the environment's Python, there or not."""
    return FOLDER / ("Scripts/python.exe" if os.name == "nt" else "bin/python")


def runs(statement: str) -> bool:
    """Say whether the environment's Python is there and can run one statement."""
    if not python().exists():
        return False
    tried = subprocess.run([python(), "-c", statement], capture_output=True, check=False)
    return tried.returncode == 0


def start_over(argv: list[str]) -> None:
    """Run manage.py again, with the environment's Python, in place of this process."""
    command = [str(python()), str(ROOT / "manage.py"), *argv]
    if os.name == "nt":  # there, a replaced process gives the prompt back at once
        raise SystemExit(subprocess.call(command))
    os.execv(command[0], command)


def _stamped() -> list[str]:
    try:
        found = json.loads((FOLDER / STAMP).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return []
    return found if isinstance(found, list) else []


def _install_venv_tools() -> None:
    package = f"python{sys.version_info.major}.{sys.version_info.minor}-venv"
    system.apt_install([package])
    importlib.invalidate_caches()
    if not has_venv_tools():
        raise Problem(
            "This Python can't make an environment because a part of it is packaged apart: run "
            f"`{system.install_line([package])}`, then run the same line again."
        )
