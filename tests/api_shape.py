"""The API's description in short, and what of it breaks a client that was written to it.

`python -m tests.api_shape` writes the description in short as the released one.
"""

import json
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import django

RELEASED = Path(__file__).parent / "released" / "v1.json"
NOTES = RELEASED.with_name("v1-changes.txt")
METHODS = ("get", "post", "put", "patch", "delete")

Shape = dict[str, Any]


def short(description: Shape) -> Shape:
    """Return operations with what they ask and answer, and shapes with their fields."""
    operations = {
        f"{method} {path}": _operation(item[method], item.get("parameters", []))
        for path, item in description["paths"].items()
        for method in METHODS
        if method in item
    }
    shapes = {name: _shape(one) for name, one in description["components"]["schemas"].items()}
    return {"operations": operations, "shapes": shapes}


def _operation(told: Shape, shared: list[Shape]) -> Shape:
    parameters = {
        f"{one['in']} {one['name']}": _marked(one["schema"], required=one.get("required", False))
        for one in [*shared, *told.get("parameters", [])]
    }
    answers = {
        f"{code} {media}".strip(): kind
        for code, answer in told["responses"].items()
        if code.isdigit() and int(code) < 400
        for media, kind in (_bodies(answer) or {"": "nothing"}).items()
    }
    asked = _bodies(told.get("requestBody", {}))
    return {"id": told["operationId"], "parameters": parameters, "asks": asked, "answers": answers}


def _bodies(told: Shape) -> dict[str, str]:
    return {media: kind_of(one["schema"]) for media, one in told.get("content", {}).items()}


def _shape(schema: Shape) -> Any:
    """Return the fields of an object with their kinds, or the kind of anything else."""
    if "properties" not in schema:
        return kind_of(schema)
    needed = schema.get("required", [])
    return {
        name: _marked(one, required=name in needed) for name, one in schema["properties"].items()
    }


def _marked(schema: Shape, *, required: bool) -> str:
    return kind_of(schema) + ("!" if required else "")


def kind_of(schema: Shape) -> str:
    """Return a schema's kind in short; kinds of a choice are parted by a stroke."""
    return "|".join(sorted(_kinds(schema)))


def _kinds(schema: Shape) -> set[str]:
    if "$ref" in schema:
        return {str(schema["$ref"]).rsplit("/", 1)[-1]}
    if "const" in schema or "enum" in schema:
        return {json.dumps(one) for one in schema.get("enum", [schema.get("const")])}
    for word in ("oneOf", "anyOf", "allOf"):
        if word in schema:
            return {kind for one in schema[word] for kind in _kinds(one)}
    kinds = schema.get("type", "anything")
    return {_plain(kind, schema) for kind in ([kinds] if isinstance(kinds, str) else kinds)}


def _plain(kind: str, schema: Shape) -> str:
    # Choices inside are parted by a comma, so that the stroke parts outer kinds only.
    if kind == "array":
        return f"[{','.join(sorted(_kinds(schema['items'])))}]"
    if kind == "object" and "properties" in schema:
        return json.dumps(_shape(schema), sort_keys=True).replace("|", ",")
    if kind == "object" and isinstance(schema.get("additionalProperties"), dict):
        return f"{{{','.join(sorted(_kinds(schema['additionalProperties'])))}}}"
    # How wide a whole number is kept depends on the database.
    return f"{kind}/{schema['format']}" if "format" in schema and kind == "string" else kind


def breaking(old: Shape, new: Shape) -> list[str]:
    """Return a line for each change from `old` to `new` that breaks a client of `old`.

    Whatever is added breaks none, but for what a request then must have: clients are told to
    expect new operations, fields and choices. Bounds and meanings are not in a shape.
    """
    operations = _broken_operations(old["operations"], new["operations"])
    return sorted([*operations, *_broken_shapes(old["shapes"], new["shapes"])])


def _broken_operations(old: Shape, new: Shape) -> Iterator[str]:
    for name, was in old.items():
        now = new.get(name)
        if now is None:
            yield f"{name}: gone"
            continue
        if was["id"] != now["id"]:
            yield f"{name}: named {now['id']}, was {was['id']}"
        yield from _broken_asking(f"{name} parameter ", was["parameters"], now["parameters"])
        yield from _broken_asking(f"{name} body ", was["asks"], now["asks"])
        yield from _broken_answer(f"{name} answer ", was["answers"], now["answers"])


def _broken_shapes(old: Shape, new: Shape) -> Iterator[str]:
    for name, was in old.items():
        now = new.get(name)
        if now is None:
            yield f"{name}: gone"
        elif isinstance(was, dict) and isinstance(now, dict):
            # What is sent and what is answered are described apart, the first by this ending.
            check = _broken_asking if name.endswith("Request") else _broken_answer
            yield from check(f"{name}.", was, now)
        elif isinstance(was, dict) or isinstance(now, dict) or not _all_of(was, now):
            yield f"{name}: {now}, was {was}"


def _broken_asking(where: str, old: Shape, new: Shape) -> Iterator[str]:
    """What was sent must be taken still: the same, or more kinds of it, and nothing else needed."""
    yield from _broken_fields(where, old, new, is_asked=True)
    for name in new.keys() - old.keys():
        if new[name].endswith("!"):
            yield f"{where}{name}: new and required"


def _broken_answer(where: str, old: Shape, new: Shape) -> Iterator[str]:
    """What was answered must come still: the same, or fewer kinds of it."""
    yield from _broken_fields(where, old, new, is_asked=False)


def _broken_fields(where: str, old: Shape, new: Shape, *, is_asked: bool) -> Iterator[str]:
    for name, was in old.items():
        now = new.get(name)
        if now is None:
            yield f"{where}{name}: gone"
            continue
        # What is asked for may only come to allow more, what is answered only less.
        more, less = (now, was) if is_asked else (was, now)
        if more.endswith("!") > less.endswith("!"):
            yield f"{where}{name}: {'required now' if is_asked else 'may be missing now'}"
        elif not _all_of(less, more):
            yield f"{where}{name}: {now}, was {was}"


def _all_of(some: str, more: str) -> bool:
    return set(some.rstrip("!").split("|")) <= set(more.rstrip("!").split("|"))


def written(shape: Shape) -> str:
    """Return a shape as text with a line for each of its parts, so that two are compared well."""
    groups = [
        f"{json.dumps(group)}: {{\n"
        + ",\n".join(f"{json.dumps(name)}: {json.dumps(one)}" for name, one in sorted(rows.items()))
        + "\n}"
        for group, rows in shape.items()
    ]
    return "{\n" + ",\n".join(groups) + "\n}\n"


def released() -> Shape:
    """Return the description that was released last, in short."""
    found: Shape = json.loads(RELEASED.read_text())
    return found


def noted(text: str) -> dict[str, str]:
    """Return the changes that a note tells of, each with its day; a note is `DAY CHANGE  # WHY`."""
    lines = [line for line in text.splitlines() if line and not line.startswith("#")]
    parts = [line.partition("  # ")[0].partition(" ") for line in lines]
    return {change.strip(): day for day, _, change in parts}


def today() -> Shape:
    """Return the description of the program as it is, in short."""
    from drf_spectacular.renderers import OpenApiJsonRenderer

    from inventory.base.api.description import described

    return short(json.loads(OpenApiJsonRenderer().render(described())))


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
    django.setup()
    RELEASED.write_text(written(today()))
    print(f"{RELEASED.name} is the description as it is. Its notes may go: {NOTES.name}")
