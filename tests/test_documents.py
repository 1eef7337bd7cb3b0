"""README.md and DEVELOPERS.md, held to what is there."""

import importlib
import re
from pathlib import Path

from django.apps import apps
from django.core.management import call_command, get_commands
from django.db.models import ForeignKey

from shop.launch import commands
from tests.test_architecture import FLOORS

ROOT = Path(__file__).resolve().parent.parent
README, DEVELOPERS = ((ROOT / name).read_text() for name in ("README.md", "DEVELOPERS.md"))
APPS = ("inventory", "shop", "quotes")


def test_every_room_has_its_line_on_the_map():
    for app, rooms in FLOORS.items():
        for room in rooms:
            says = importlib.import_module(f"{app}.{room}").__doc__.split("\n")[0]
            assert f"| `{app}/{room}/` | {says} |" in DEVELOPERS


def test_the_paths_of_the_map_and_of_decisions_exist():
    decisions = "".join(path.read_text() for path in (ROOT / ".decisions").glob("*.md"))
    named = re.findall(r"`((?:inventory|shop|quotes|tests)/[\w./]+)`", DEVELOPERS + decisions)
    assert named
    assert [path for path in named if not (ROOT / path).exists()] == []


def test_every_test_that_the_security_standard_is_held_to_exists():
    rows = (ROOT / ".decisions" / "2026-11-asvs.md").read_text().split("|---|---|---|")[1]
    told = [line.split("|")[1:4] for line in rows.splitlines() if line.startswith("|")]
    assert len(told) > 60
    assert [item for item, asks, seen in told if not (asks.strip() and seen.strip())] == []
    named = set(re.findall(r"`(test_\w+)`", rows))
    files = (ROOT / "tests").rglob("test_*.py")
    there = {name for path in files for name in re.findall(r"def (test_\w+)", path.read_text())}
    assert named - there == set()


def test_every_service_is_listed_with_what_it_does(capsys):
    call_command("services")
    listed = capsys.readouterr().out
    assert re.search(r"^  issue_quote +\w", listed, re.MULTILINE)
    assert [line for line in listed.splitlines() if re.fullmatch(r"  \w+ *", line)] == []


def test_the_diagram_shows_every_table_that_hangs_on_another(capsys):
    call_command("entities")
    drawn = capsys.readouterr().out
    assert '    Lot }o--|| Material : "material"' in drawn
    for model in apps.get_models():
        if model.__module__.split(".")[0] in APPS and any(
            isinstance(field, ForeignKey) for field in model._meta.get_fields()
        ):
            assert f"    {model.__name__} " in drawn


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
