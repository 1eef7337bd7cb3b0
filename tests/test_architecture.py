"""The map in DEVELOPERS.md, held by tests: which way imports may point."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
APPS = ("inventory", "shop", "quotes")
BANNED_APPS = {"inventory": {"shop", "quotes"}, "shop": {"quotes"}, "quotes": set()}
LAYERS = ("calc", "models", "queries", "services", "edge")
IMPURE = {"django", "rest_framework", "datetime.datetime.now", "time", "os", "pathlib", "random"}
TOP_LEVEL = {
    "README.md",
    "DEVELOPERS.md",
    "pyproject.toml",
    "manage.py",
    "shop",
    "quotes",
    "inventory",
    "tests",
}


def modules():
    for app in APPS:
        for path in sorted((ROOT / app).rglob("*.py")):
            if "migrations" not in path.parts:
                yield path.relative_to(ROOT)


def imports_of(path):
    for node in ast.walk(ast.parse((ROOT / path).read_text())):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module


def layer_of(parts):
    """Return the layer of a module's path or dotted name within its app."""
    if len(parts) < 2:
        return None
    name = parts[1].removesuffix(".py")
    if name in {"calc", "models", "queries", "services"}:
        return name
    if name in {"pages", "api", "management"}:
        return "edge"
    return None


@pytest.mark.parametrize("path", list(modules()), ids=str)
def test_imports_point_down(path):
    roots = {name.split(".")[0] for name in imports_of(path)}
    assert roots & BANNED_APPS[path.parts[0]] == set()


@pytest.mark.parametrize("path", list(modules()), ids=str)
def test_layers_call_downwards_only(path):
    own = layer_of(path.parts)
    if own is None:
        return
    above = {
        name
        for name in imports_of(path)
        if name.split(".")[0] in APPS
        and (layer := layer_of(name.split("."))) is not None
        and LAYERS.index(layer) > LAYERS.index(own)
    }
    assert above == set()


@pytest.mark.parametrize("path", [p for p in modules() if "calc" in p.parts], ids=str)
def test_calc_is_pure(path):
    names = set(imports_of(path))
    assert {name for name in names if name.split(".")[0] in IMPURE} == set()


def test_the_top_level_holds_what_the_map_says():
    found = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    assert found - {"__pycache__"} <= TOP_LEVEL


def test_a_service_is_one_verb_of_its_modules_name():
    for path in modules():
        if path.parts[1] == "services" and path.name != "__init__.py":
            tree = ast.parse((ROOT / path).read_text())
            public = [
                node
                for node in tree.body
                if isinstance(node, ast.FunctionDef) and not node.name.startswith("_")
            ]
            assert [node.name for node in public] == [path.stem], path
            assert not public[0].args.args, f"{path}: arguments are keyword-only"
