"""Installs libraries with pip, says how far it is, and why it failed in one sentence."""

import re
import subprocess
from pathlib import Path

from shop.launch.requirements import CONSTRAINTS
from shop.launch.telling import Problem, say

NO_ROOM = ("No space left on device", "Errno 28", "WinError 112", "Disk quota exceeded")
NO_FIT = ("No matching distribution found", "ResolutionImpossible", "Failed building wheel")
NO_NETWORK = (
    "NewConnectionError",
    "NameResolutionError",
    "ConnectTimeoutError",
    "ReadTimeoutError",
    "ProxyError",
    "Max retries exceeded",
    "Connection broken",
    "Network is unreachable",
)


def install(python: Path, wanted: list[str]) -> None:
    """Install the list into the environment of `python`. Raises Problem when pip fails."""
    say(f"Installing {len(wanted)} libraries and what they need; this takes a minute or two.")
    failed = _pip_install(python, ["--constraint", str(CONSTRAINTS), *wanted])
    if failed is not None and any(sign in failed for sign in NO_FIT):
        # A newer Python may have no build of the very versions that were tested.
        say("The tested versions do not fit this Python; taking others that should do.")
        failed = _pip_install(python, wanted)
    if failed is not None:
        raise Problem(explain_failure(failed))


def _pip_install(python: Path, asked: list[str]) -> str | None:
    """Return what pip printed where it failed."""
    command = [
        str(python), "-m", "pip", "install", "--no-input", "--disable-pip-version-check",
        "--progress-bar=off", "--prefer-binary", *asked,
    ]  # fmt: skip
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, errors="replace"
    ) as pip:
        output = [line for line in pip.stdout or () if not _tell(line)]
    return "".join(output) if pip.returncode else None


def explain_failure(output: str) -> str:
    """Turn what a failed pip printed into one sentence with the way out."""
    if any(sign in output for sign in NO_ROOM):
        return (
            "The disk is full: free about 2 GB and run the same line again, it goes on from here."
        )
    if any(sign in output for sign in NO_NETWORK):
        return (
            "The libraries could not be fetched because the package index does not answer: "
            "connect to the internet (a proxy is set in HTTPS_PROXY) and run the same line again."
        )
    errors = re.findall(r"^ERROR: (.+)$", output, flags=re.MULTILINE)
    reason = errors[-1] if errors else "it gave no reason"
    return f"The libraries could not be installed; pip says: {reason}"


def _tell(line: str) -> bool:
    """Say what a line of pip's output means to somebody who waits; say whether it meant any."""
    if collecting := re.match(r"Collecting ([\w.-]+)", line):
        say(f"  fetching {collecting[1]}")
    elif line.startswith("Installing collected packages"):
        say("  unpacking all of it, the longest step")
    elif "Retrying (" in line:
        say("  no answer, trying again")
        return False
    else:
        return False
    return True
