"""What a web process remembers by itself: a short list, none of which another process misses."""

import ast

from tests.test_architecture import modules, offenders, tree_of

CACHES = {"cache", "local", "lru_cache"}
OF_THE_CODE = "the same in every process of one version"
OF_ITS_OWN = "each process finds it out by itself, at the price of one question"
PURE = "worked out from its arguments alone"
REMEMBERED = {
    "inventory/base/api/description.py": ("_written described", OF_THE_CODE),
    "inventory/base/api/finishing.py": ("rooms_words", OF_THE_CODE),
    "inventory/base/countries.py": ("country_names", OF_THE_CODE),
    "inventory/base/documents.py": ("_of_this_thread face_rules web_face", OF_THE_CODE),
    "inventory/base/turns.py": ("press", "holds threads of this process free, and nothing else"),
    "inventory/shelf/queries/traces.py": ("_namers", OF_THE_CODE),
    "inventory/templatetags/figures.py": ("_locale_of _minor_unit _symbols _unit", PURE),
    "inventory/wood/queries.py": ("_annotations", OF_THE_CODE),
    "quotes/quoting/pages/turn_of_day.py": ("TurnOfDayMiddleware.day", OF_ITS_OWN),
    "shop/base/choices.py": ("countries currencies time_zones", OF_THE_CODE),
    "shop/desk/middleware.py": (
        "DailyCopyMiddleware.day HealthMiddleware.is_up_to_date",
        OF_ITS_OWN,
    ),
    "shop/devices/pages/bench.py": ("bench_files", OF_THE_CODE),
    "shop/estimates/queries/kept.py": ("arithmetic_now", OF_THE_CODE),
    "shop/queue/queries/shop_now.py": ("_holidays_of", PURE),
}
"""By module, what it remembers, and why no process has to know it of another."""


def name_of(node):
    """Return the last part of a name, of a call's function too."""
    node = node.func if isinstance(node, ast.Call) else node
    return getattr(node, "attr", getattr(node, "id", ""))


def kept_by_decorators(tree):
    return {
        node.name
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef)
        and CACHES & {name_of(one) for one in node.decorator_list}
    }


def kept_in_the_module(tree):
    """Return names of the module that hold an empty container, a cache or an object of its own.

    What is written in capitals is a constant.
    """
    own = {node.name for node in tree.body if isinstance(node, ast.ClassDef)}
    found = set()
    for node in tree.body:
        value = getattr(node, "value", None)
        if not isinstance(node, ast.Assign | ast.AnnAssign) or value is None:
            continue
        is_empty = isinstance(value, ast.List | ast.Dict) and not ast.unparse(value).strip("[]{}")
        is_made = isinstance(value, ast.Call) and name_of(value) in own | CACHES | {"set", "dict"}
        if is_empty or (is_made and not (name_of(value) in {"set", "dict"} and value.args)):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            found |= {
                one.id for one in targets if isinstance(one, ast.Name) and not one.id.isupper()
            }
    return found


def set_on_classes(tree):
    """Return what functions set on a class, for all of its objects, or make global."""
    classes = {node.name for node in ast.walk(tree) if isinstance(node, ast.ClassDef)}
    found = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Global):
            found |= {*node.names}
        if isinstance(node, ast.Assign):
            found |= {
                f"{one.value.id}.{one.attr}"
                for one in node.targets
                if isinstance(one, ast.Attribute) and getattr(one.value, "id", "") in classes
            }
    return found


def remembered(path):
    tree = tree_of(path)
    return kept_by_decorators(tree) | kept_in_the_module(tree) | set_on_classes(tree)


def test_what_a_process_remembers_is_known_with_its_reason():
    found = offenders([path for path in modules() if "urls" not in path.stem], remembered)
    assert found == {path: {*names.split()} for path, (names, _) in REMEMBERED.items()}
