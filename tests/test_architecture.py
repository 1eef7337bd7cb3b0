"""The map in DEVELOPERS.md, held by tests: which way imports may point."""

import ast
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
BANNED_APPS = {"inventory": {"shop", "quotes"}, "shop": {"quotes"}, "quotes": set()}
FLOORS = {
    "inventory": (
        "base", "ledger", "shelf", "reservations", "paperwork", "wood", "purchasing", "cutting",
        "counting", "kits", "strings", "desk",
    ),
    "shop": (
        "base", "access", "workshop", "stages", "patterns", "pieces", "hours", "calendar",
        "estimates", "builds", "past_sheets", "queue", "devices", "copies", "archive", "desk",
        "demo",
    ),
    "quotes": (
        "base", "clients", "pricing", "shop_rate", "papers", "links", "invoicing", "changes",
        "closing", "cancelling", "work_done", "quoting", "client_page", "sending", "risk", "year",
        "year_end", "desk", "search", "demo",
    ),
}  # fmt: skip
"""The rooms of each app, the lowest first: a room uses only rooms before it."""

LAYERS = (
    {"calc", "refusals", "choices", "countries", "attempts", "turns"},
    {"pictures", "people", "roles", "addresses", "photos", "wood_units", "certificates"},
    {"queries", "keeping", "migrating"},
    {"locking"},
    {"documents", "tables", "lists"},
    {"bookkeeping"},
    {"services"},
    {"forms", "fields"},
    {"pages", "api", "middleware", "signals"},
    {"urls"},
)
"""The files of a room, the lowest first: a file uses only its own layer and those before it."""

ROOT_PARTS = {
    "inventory": {
        "models", "fields", "apps", "urls", "api_urls", "api_words", "templatetags", "management",
    },
    "shop": {
        "models", "apps", "urls", "page_urls", "api_urls", "api_words", "settings", "wsgi",
        "launch", "templatetags", "management",
    },
    "quotes": {"models", "apps", "urls", "api_urls", "api_words", "templatetags", "management"},
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


@cache
def tree_of(path):
    return ast.parse((ROOT / path).read_text())


@cache
def imports_of(path):
    """Return the names that a module imports, each read once for all tests."""
    found = set()
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
    return frozenset(found)


def layer_of(parts):
    """Return the layer of a module in a room, by the name of its file or folder."""
    if len(parts) < 3:
        return None
    name = parts[2].removesuffix(".py")
    return next((place for place, names in enumerate(LAYERS) if name in names), None)


def offenders(paths, wrong):
    """Return what `wrong` finds in each module, for those in which it finds something."""
    return {f"{path}": found for path in paths if (found := wrong(path))}


def test_there_are_modules_to_look_at():
    assert len(in_rooms()) > 500


def test_apps_import_downwards_only():
    def wrong(path):
        return {name.split(".")[0] for name in imports_of(path)} & BANNED_APPS[path.parts[0]]

    assert offenders(modules(), wrong) == {}


def test_every_module_stands_in_a_room_or_is_a_convention_of_django():
    def wrong(path):
        app = path.parts[0]
        name = path.parts[1].removesuffix(".py")
        return {name} - {*FLOORS[app], *ROOT_PARTS[app], "__init__"}

    assert offenders(modules(), wrong) == {}


def test_every_module_of_a_room_belongs_to_a_layer():
    def wrong(path):
        if path.name == "__init__.py" and (len(path.parts) == 3 or path.parts[1] == "demo"):
            return False
        return layer_of(path.parts) is None

    assert offenders(in_rooms(), wrong) == {}


def test_a_room_uses_only_rooms_below_it():
    def wrong(path):
        app, room = path.parts[:2]
        above = FLOORS[app][FLOORS[app].index(room) + 1 :]
        used = {name.split(".")[1] for name in imports_of(path) if name.startswith(f"{app}.")}
        return used & set(above)

    assert offenders(in_rooms(), wrong) == {}


def test_layers_of_a_room_call_downwards_only():
    def wrong(path):
        own = layer_of(path.parts)
        inside = [name.split(".") for name in imports_of(path)]
        return own is not None and {
            ".".join(parts)
            for parts in inside
            if tuple(parts[:2]) == path.parts[:2]
            and (layer := layer_of(parts)) is not None
            and layer > own
        }

    assert offenders(in_rooms(), wrong) == {}


def test_calc_is_pure():
    def wrong(path):
        names = imports_of(path)
        return {
            name
            for name in names
            if name.split(".")[0] in IMPURE
            or (name.split(".")[0] in FLOORS and not {"calc", "refusals"} & set(name.split(".")))
        }

    calc = [path for path in in_rooms() if {"calc", "calc.py"} & set(path.parts)]
    assert calc
    assert offenders(calc, wrong) == {}


def test_the_api_looks_rows_up_so_that_a_key_which_is_no_number_is_not_found():
    """Django's own raises ValueError for such a key, that of the REST framework answers 404."""

    def wrong(path):
        return imports_of(path) & {"django.shortcuts.get_object_or_404"}

    api = [path for path in in_rooms() if {"api", "api.py"} & set(path.parts)]
    assert api
    assert offenders(api, wrong) == {}


def test_the_top_level_holds_what_the_map_says():
    found = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    assert found - {"__pycache__"} <= TOP_LEVEL


def test_no_folder_of_modules_is_a_pile():
    folders = {}
    for path in modules():
        folders.setdefault(path.parent, []).append(path.name)
    piles = {f"{folder}" for folder, names in folders.items() if len(names) > MOST_MODULES}
    assert piles == set()


def test_services_take_keywords_only():
    """Bookkeeping under a lock that the caller holds, in `ledger`, may take its row first."""

    def wrong(path):
        return {
            node.name
            for node in tree_of(path).body
            if isinstance(node, ast.FunctionDef)
            and not node.name.startswith("_")
            and node.args.args
        }

    services = [
        path
        for path in in_rooms()
        if {"services", "services.py"} & set(path.parts) and path.parts[1] not in {"ledger", "demo"}
    ]
    assert services
    assert offenders(services, wrong) == {}
