"""README.md and DEVELOPERS.md, held to what is there."""

import re
from pathlib import Path

from django.core.management import get_commands

from shop.launch import commands

ROOT = Path(__file__).resolve().parent.parent
README, DEVELOPERS = ((ROOT / name).read_text() for name in ("README.md", "DEVELOPERS.md"))
APPS = ("inventory", "shop", "quotes")


def services(app):
    return {path.stem for path in (ROOT / app / "services").glob("*.py")} - {"__init__"}


def test_every_service_has_its_line_and_every_line_its_service():
    section = DEVELOPERS.split("## Services")[1].split("\n## ")[0]
    for app, table in zip(APPS, section.split("/services/`")[1:], strict=True):
        named = re.findall(r"^\| `(\w+)` \|", table, re.MULTILINE)
        assert sorted(named) == sorted(services(app)), app


def test_commands_that_are_told_of_exist():
    told = set(re.findall(r"manage\.py (\w+)", README + DEVELOPERS))
    assert told
    known = set(get_commands()) | set(re.findall(r'"(\w+)"', Path(commands.__file__).read_text()))
    assert told - known == set()


def test_nothing_is_left_to_do_in_the_code():
    mark = re.compile(r"\b(TODO|FIXME|NotImplementedError)\b")
    found = [
        str(path)
        for app in APPS
        for path in (ROOT / app).rglob("*.py")
        if mark.search(path.read_text())
    ]
    assert found == []
