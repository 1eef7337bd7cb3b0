"""The last hand on the API's description: units beside figures, parameters said, plain enums."""

from collections.abc import Iterator
from functools import cache
from importlib import import_module
from importlib.util import find_spec
from typing import Any

from django.apps import apps

BLANK = {"type": "string", "maxLength": 0}
SHORTHANDS: dict[str, dict[str, Any]] = {
    "#/components/schemas/BlankEnum": BLANK,
    "#/components/schemas/NullEnum": {"type": "null"},
}
"""What stands in for an enum of nothing."""
PAGING = {
    "cursor": "Where a page begins: taken from `next` or `previous` of another page.",
    "page": "Which page, from 1.",
    "page_size": "How many rows a page has, 1 to 200.",
    "ordering": "Which field to sort by; with a minus before it, downwards.",
    "search": "Words that are looked for.",
    "format": "As the Accept header, for links.",
}


def finish(result: dict[str, Any], generator: Any, **kwargs: Any) -> dict[str, Any]:
    """Describe what the fields themselves don't say, and return the description."""
    schemas = result["components"]["schemas"]
    for ref in SHORTHANDS:
        schemas.pop(ref.rsplit("/", 1)[-1], None)
    for name, schema in schemas.items():
        for field, told in schema.get("properties", {}).items():
            _describe(name, field, told)
    for operation in operations_of(result):
        for parameter in operation.get("parameters", []):
            if not parameter.get("description"):
                words = said(operation["operationId"], parameter["name"])
                parameter["description"] = words or PAGING.get(parameter["name"], "")
            if parameter["description"].startswith("The key of"):
                parameter["schema"] = parameter["schema"] | {"type": "integer"}
    plain: dict[str, Any] = _plain(result)
    return plain


def operations_of(described: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """Yield every operation of a description."""
    for item in described["paths"].values():
        for operation in item.values():
            if isinstance(operation, dict):
                yield operation


def is_number(told: dict[str, Any]) -> bool:
    """Say whether a field is a decimal figure, or a list of them."""
    inner = [told, *told.get("oneOf", []), told.get("items", {})]
    return any(one.get("format") == "decimal" or one.get("type") == "number" for one in inner)


def said(owner: str, name: str) -> str:
    """Return what the rooms say of a name, of its owner first; an empty string for nothing."""
    words = rooms_words()
    plain = owner.removeprefix("Patched").removesuffix("Request")
    return words.get(f"{plain}.{name}", words.get(name, ""))


@cache
def rooms_words() -> dict[str, str]:
    """Return what every app says of its figures and parameters in its `api_words`."""
    found: dict[str, str] = {}
    for app in apps.get_app_configs():
        if find_spec(f"{app.name}.api_words"):
            found |= import_module(f"{app.name}.api_words").WORDS
    return found


def _describe(owner: str, field: str, told: dict[str, Any]) -> None:
    """Say of a figure what it is, unless its own field says so."""
    if is_number(told) and not told.get("description") and (words := said(owner, field)):
        told["description"] = words


def _plain(part: Any) -> Any:
    """Return a part of the description with the shorthands written out."""
    if isinstance(part, dict):
        if part.get("$ref") in SHORTHANDS:
            return SHORTHANDS[part["$ref"]]
        plain = {name: _plain(inner) for name, inner in part.items()}
        if BLANK in plain.get("oneOf", []):
            # A blank may be of the other kind too: nobody has to look at the format of a text.
            plain["anyOf"] = plain.pop("oneOf")
        return plain
    return [_plain(inner) for inner in part] if isinstance(part, list) else part
