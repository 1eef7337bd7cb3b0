"""axe-core, fetched by npm into a cache folder of its own, for tests only."""

import os
import shutil
import subprocess
from functools import cache
from pathlib import Path

import pytest

VERSION = "4.10.3"
CACHE = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "gramil-tests"
RUN = """async () => {
  const runOnly = ["wcag2a", "wcag2aa", "wcag21aa", "wcag22aa", "best-practice"];
  const { violations } = await axe.run(document, { runOnly });
  const where = (nodes) => nodes.map((node) => node.html).slice(0, 3).join(" ");
  return violations.map((one) => `${one.id}: ${one.help}: ${where(one.nodes)}`);
}"""


@cache
def axe_source():
    """Return axe-core as text; skips where npm is missing or can't fetch it."""
    script = CACHE / f"axe-{VERSION}" / "node_modules" / "axe-core" / "axe.min.js"
    if not script.exists():
        npm = shutil.which("npm")
        if npm is None:
            pytest.skip("npm is not installed, so accessibility is not checked")
        command = [npm, "install", "--prefix", script.parents[2], f"axe-core@{VERSION}"]
        quiet = ["--no-save", "--no-audit", "--no-fund", "--silent"]
        script.parents[2].mkdir(parents=True, exist_ok=True)
        done = subprocess.run([*command, *quiet], check=False, capture_output=True, timeout=120)
        if done.returncode or not script.exists():
            pytest.skip("npm could not fetch axe-core, so accessibility is not checked")
    return script.read_text(encoding="utf-8")


def faults_of(page):
    """Return what axe finds wrong with the page, seen whole: nothing lies under its foot."""
    small = page.viewport_size
    page.set_viewport_size({"width": small["width"], "height": 4000})
    page.evaluate(axe_source())
    found = page.evaluate(RUN)
    page.set_viewport_size(small)
    return found
