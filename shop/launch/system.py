"""System libraries and fonts that PDF documents need, and how this machine installs them."""

import ctypes
import ctypes.util
import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

from shop.launch.telling import Problem, say

PDF_PACKAGES = ("libpangoft2-1.0-0", "libharfbuzz-subset0", "fonts-dejavu-core")
FONT_ENDINGS = {".ttf", ".otf", ".ttc", ".otc", ".pfb", ".pcf"}
FONT_SETTINGS = Path("/etc/fonts/fonts.conf")
BROWSER_PACKAGES = ("chromium", "libatomic1")


def ensure_pdf_parts() -> None:
    """See to it that PDFs can be made, installing what is missing where that is allowed.

    Without Pango only documents fail, so that is told and no more; without a font the whole
    process would die at the first document, so that raises Problem.
    """
    if pango_loads() and has_font():
        return
    apt_install(PDF_PACKAGES)
    if not pango_loads():
        say(f"Documents can't be made as PDF until this is run: {pdf_line()}")
    elif not has_font():
        raise Problem(
            "This machine has no font, without which no document can be made: "
            f"run `{pdf_line()}`, then run the same line again."
        )


def ensure_browser() -> None:
    """See to it that tests can drive a browser, or say that they can't."""
    if browser_runs():
        return
    apt_install(BROWSER_PACKAGES)
    if not browser_runs():
        say(f"Tests in a browser can't run until this is run: {install_line(BROWSER_PACKAGES)}")


def browser_runs() -> bool:
    """Say whether Chromium and what its driver needs are there."""
    driver_runs = sys.platform != "linux" or _loads("atomic")
    return bool(shutil.which("chromium")) and driver_runs


def pango_loads() -> bool:
    """Say whether the text layout libraries behind the PDF writer can be loaded."""
    return all(map(_loads, ("pango-1.0", "pangoft2-1.0", "harfbuzz", "fontconfig")))


def has_font() -> bool:
    """Say whether there is any font; macOS and Windows always have some."""
    if sys.platform in ("darwin", "win32"):
        return True
    return any(
        Path(name).suffix.lower() in FONT_ENDINGS
        for folder in font_folders()
        for _, _, names in os.walk(folder)
        for name in (n.removesuffix(".gz") for n in names)
    )


def font_folders() -> Iterator[Path]:
    """Yield the folders that fontconfig looks into, there or not."""
    home = Path.home()
    yield from (Path("/usr/share/fonts"), Path("/usr/local/share/fonts"))
    yield from (home / ".fonts", home / ".local/share/fonts")
    if FONT_SETTINGS.exists():
        settings = FONT_SETTINGS.read_text(encoding="utf-8", errors="replace")
        for folder in re.findall(r"<dir(?: [^>]*)?>\s*(/[^<]+?)\s*</dir>", settings):
            yield Path(folder)


def apt_install(packages: list[str] | tuple[str, ...]) -> bool:
    """Install Debian packages if this is root on a Debian-like system; say whether it worked."""
    if not may_apt_install():
        return False
    say(f"Installing {', '.join(packages)} with apt-get.")
    install = ["apt-get", "install", "-y", "--no-install-recommends", *packages]
    return _quietly(install) or (_quietly(["apt-get", "update"]) and _quietly(install))


def may_apt_install() -> bool:
    """Say whether apt-get is there and this process may use it."""
    return bool(shutil.which("apt-get")) and os.geteuid() == 0


def install_line(packages: list[str] | tuple[str, ...]) -> str:
    """Return the line that installs Debian packages by hand."""
    sudo = "" if os.name == "nt" or os.geteuid() == 0 else "sudo "
    return f"{sudo}apt-get install -y --no-install-recommends {' '.join(packages)}"


def pdf_line() -> str:
    """Return the line that installs the PDF parts on this kind of machine."""
    if sys.platform == "darwin":
        return "brew install pango"
    if sys.platform == "win32":
        return "pacman -S mingw-w64-ucrt-x86_64-pango (in the MSYS2 shell)"
    for tool, line in (
        ("apt-get", install_line(PDF_PACKAGES)),
        ("dnf", "sudo dnf install pango dejavu-sans-fonts"),
        ("pacman", "sudo pacman -S pango ttf-dejavu"),
        ("apk", "apk add pango font-dejavu"),
    ):
        if shutil.which(tool):
            return line
    return "your system's installer for the Pango library and the DejaVu fonts"


def _loads(name: str) -> bool:
    names = (f"lib{name}.so.0", f"lib{name}.so.1", f"lib{name}-0.dll", f"lib{name}-1.dll")
    return any(_opens(file) for file in (*names, ctypes.util.find_library(name)) if file)


def _opens(file: str) -> bool:
    try:
        ctypes.CDLL(file)
    except OSError:
        return False
    return True


def _quietly(command: list[str]) -> bool:
    quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    done = subprocess.run(
        command, env=quiet, stdin=subprocess.DEVNULL, capture_output=True, check=False
    )
    return done.returncode == 0
