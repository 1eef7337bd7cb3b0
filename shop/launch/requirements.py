"""What the program needs, read from pyproject.toml, and whether this Python has it."""

import hashlib
import os
import re
import tomllib
from importlib import metadata
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
"""The project folder: the one that holds manage.py."""


CONSTRAINTS = Path(__file__).with_name("constraints.txt")
"""The versions that all tests passed with, so that two installs on two days are alike."""


FOR_HOSTS = ("GRAMIL_MEDIA", "GRAMIL_METRICS_TOKEN")
"""Settings that need what only a shop on several machines has."""


def program_version() -> str:
    """Return the version of this code, such as 0.1.0."""
    return str(_project()["version"])


def requirements(*, tests: bool = False) -> list[str]:
    """Return what pip has to install to run the program, or also to test it."""
    project = _project()
    extras = project["optional-dependencies"]
    more = extras["hosts"] if any(os.environ.get(name) for name in FOR_HOSTS) else []
    return [*project["dependencies"], *more, *(extras["test"] if tests else [])]


def fingerprint(wanted: list[str]) -> str:
    """Return a short text that changes whenever the list or the tested versions do."""
    lines = [*wanted, CONSTRAINTS.read_text(encoding="utf-8")]
    return hashlib.sha256("\n".join(lines).encode()).hexdigest()[:16]


def all_installed(wanted: list[str]) -> bool:
    """Say whether the running Python has a fitting version of everything in the list."""
    return all(map(is_installed, wanted))


def is_installed(requirement: str) -> bool:
    """Say whether the running Python has what `requirement`, such as "segno>=1.6,<2", asks for."""
    try:
        # What reads a requirement is required itself: where it is missing, so is something.
        from packaging.requirements import Requirement

        asked = Requirement(requirement)
        return asked.specifier.contains(metadata.version(asked.name), prereleases=True)
    except (ImportError, metadata.PackageNotFoundError):
        return False


def release(version: str) -> tuple[int, ...]:
    """Return the numbers of a version: "5.2.19" gives (5, 2, 19)."""
    return tuple(map(int, re.findall(r"\d+", version)))


def _project() -> dict[str, Any]:
    text = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    project: dict[str, Any] = tomllib.loads(text)["project"]
    return project
