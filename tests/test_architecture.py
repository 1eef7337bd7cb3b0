"""The map in DEVELOPERS.md, held by tests: which way imports may point."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
BANNED_APPS = {"inventory": {"shop", "quotes"}, "shop": {"quotes"}, "quotes": set()}
FLOORS = {
    "inventory": (
        "base", "ledger", "shelf", "reservations", "paperwork", "wood", "purchasing", "cutting",
        "counting", "kits", "strings", "desk",
    ),
    "shop": (
        "base", "workshop", "stages", "patterns", "pieces", "hours", "calendar", "estimates",
        "builds", "past_sheets", "queue", "devices", "copies", "archive", "desk", "demo",
    ),
    "quotes": (
        "base", "clients", "pricing", "shop_rate", "papers", "links", "invoicing", "changes",
        "closing", "cancelling", "quoting", "client_page", "risk", "year", "desk", "demo",
    ),
}  # fmt: skip
"""The rooms of each app, the lowest first: a room uses only rooms before it."""

LAYERS = (
    {"calc", "refusals", "choices", "countries", "attempts"},
    {"pictures", "roles", "phone", "photos", "wood_units", "certificates"},
    {"queries", "keeping", "migrating"},
    {"locking"},
    {"documents", "tables"},
    {"bookkeeping"},
    {"services"},
    {"forms", "fields"},
    {"pages", "api", "middleware"},
    {"urls"},
)
"""The files of a room, the lowest first: a file uses only its own layer and those before it."""

ROOT_PARTS = {
    "inventory": {
        "models", "fields", "apps", "urls", "api_urls", "templatetags", "management",
    },
    "shop": {
        "models", "apps", "urls", "page_urls", "api_urls", "settings", "wsgi", "launch",
        "templatetags", "management",
    },
    "quotes": {"models", "apps", "urls", "api_urls", "templatetags", "management"},
}  # fmt: skip
"""What stands beside the rooms: Django's conventions, and what runs before Django is there."""

IMPURE = {"django", "rest_framework", "datetime.datetime.now", "time", "os", "pathlib", "random"}
MOST_MODULES = 20
TOP_LEVEL = {
    "README.md", "DEVELOPERS.md", "pyproject.toml", "manage.py", "shop", "quotes", "inventory",
    "tests",
}  # fmt: skip


def modules():
    for app in FLOORS:
        for path in sorted((ROOT / app).rglob("*.py")):
            if "migrations" not in path.parts:
                yield path.relative_to(ROOT)


def in_rooms():
    return [path for path in modules() if path.parts[1] in FLOORS[path.parts[0]]]


def imports_of(path):
    for node in ast.walk(ast.parse((ROOT / path).read_text())):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def layer_of(parts):
    """Return the layer of a module in a room, by the name of its file or folder."""
    if len(parts) < 3:
        return None
    name = parts[2].removesuffix(".py")
    return next((place for place, names in enumerate(LAYERS) if name in names), None)


@pytest.mark.parametrize("path", list(modules()), ids=str)
def test_apps_import_downwards_only(path):
    roots = {name.split(".")[0] for name in imports_of(path)}
    assert roots & BANNED_APPS[path.parts[0]] == set()


@pytest.mark.parametrize("path", list(modules()), ids=str)
def test_every_module_stands_in_a_room_or_is_a_convention_of_django(path):
    app = path.parts[0]
    name = path.parts[1].removesuffix(".py")
    assert name in {*FLOORS[app], *ROOT_PARTS[app], "__init__"}


@pytest.mark.parametrize("path", in_rooms(), ids=str)
def test_every_module_of_a_room_belongs_to_a_layer(path):
    if path.name == "__init__.py" and len(path.parts) == 3:
        return
    if path.parts[1] == "demo" and path.name == "__init__.py":
        return
    assert layer_of(path.parts) is not None


@pytest.mark.parametrize("path", in_rooms(), ids=str)
def test_a_room_uses_only_rooms_below_it(path):
    app, room = path.parts[:2]
    above = FLOORS[app][FLOORS[app].index(room) + 1 :]
    used = {name.split(".")[1] for name in imports_of(path) if name.startswith(f"{app}.")}
    assert used & set(above) == set()


@pytest.mark.parametrize("path", in_rooms(), ids=str)
def test_layers_of_a_room_call_downwards_only(path):
    own = layer_of(path.parts)
    if own is None:
        return
    inside = [name.split(".") for name in imports_of(path)]
    above = {
        ".".join(parts)
        for parts in inside
        if tuple(parts[:2]) == path.parts[:2]
        and (layer := layer_of(parts)) is not None
        and layer > own
    }
    assert above == set()


@pytest.mark.parametrize("path", [p for p in in_rooms() if layer_of(p.parts) == 0], ids=str)
def test_calc_is_pure(path):
    if "calc" not in {part.removesuffix(".py") for part in path.parts}:
        return
    names = set(imports_of(path))
    assert {name for name in names if name.split(".")[0] in IMPURE} == set()
    ours = {name for name in names if name.split(".")[0] in FLOORS}
    assert {name for name in ours if not {"calc", "refusals"} & set(name.split("."))} == set()


def test_the_top_level_holds_what_the_map_says():
    found = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    assert found - {"__pycache__"} <= TOP_LEVEL


def test_no_folder_of_modules_is_a_pile():
    folders = {}
    for path in modules():
        folders.setdefault(path.parent, []).append(path.name)
    piles = {f"{folder}" for folder, names in folders.items() if len(names) > MOST_MODULES}
    assert piles == set()


SERVICES = [p for p in in_rooms() if "services" in {part.removesuffix(".py") for part in p.parts}]


@pytest.mark.parametrize("path", SERVICES, ids=str)
def test_services_take_keywords_only(path):
    """Bookkeeping under a lock that the caller holds, in `ledger`, may take its row first."""
    if path.parts[1] in {"ledger", "demo"}:
        return
    tree = ast.parse((ROOT / path).read_text())
    positional = {
        node.name
        for node in tree.body
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_") and node.args.args
    }
    assert positional == set()
