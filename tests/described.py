"""Answers of the API held against its description: their status, their kind, every field."""

import json
import re
from functools import cache

from drf_spectacular.renderers import OpenApiJsonRenderer
from jsonschema import Draft202012Validator
from referencing import Registry, Resource
from referencing.jsonschema import DRAFT202012

from inventory.base.api.description import described

ROOT = "urn:gramil"
NOT_OF_THE_VIEW = {404, 405, 406, 415}
"""Answered before a view is found, or whatever it takes."""


@cache
def document():
    """The description as it is sent."""
    return json.loads(OpenApiJsonRenderer().render(described()))


@cache
def registry():
    whole = Resource(contents=document(), specification=DRAFT202012)
    return Registry().with_resource(ROOT, whole).crawl()


@cache
def ways():
    """Each path of the description with its pattern, those with fewer variables first."""
    found = [
        (re.compile(re.sub(r"\\{\w+\\}", "[^/]+", re.escape(path)) + r"\Z"), path)
        for path in document()["paths"]
    ]
    return sorted(found, key=lambda one: one[1].count("{"))


@cache
def validator(path, method, status, kind):
    """Return what checks a JSON answer. Raises AssertionError for one that is not described."""
    operation = document()["paths"][path].get(method)
    assert operation, f"{method} {path} is answered and not described"
    answers = operation["responses"]
    told = answers.get(f"{status}") or (answers["default"] if status >= 400 else None)
    assert told, f"{method} {path}: {status} is not described"
    content = told.get("content", {})
    if not content:
        assert kind == "", f"{method} {path}: {status} has a body, described is none"
        return None
    assert kind in content, f"{method} {path}: {status} comes as {kind!r}, described {[*content]}"
    schema = json.loads(json.dumps(content[kind]["schema"]).replace('"#/', f'"{ROOT}#/'))
    return Draft202012Validator(schema, registry=registry()) if "json" in kind else None


def check(method, address, status, kind, body):
    """Raise AssertionError where an answer isn't what the description says."""
    path = next((path for pattern, path in ways() if pattern.match(address)), None)
    if path is None or method in {"head", "options"} or status in NOT_OF_THE_VIEW:
        return
    checks = validator(path, method, status, kind.partition(";")[0].strip())
    if checks is not None:
        wrong = [
            f"{method} {path} {status}: {'.'.join(map(str, one.path))}: {one.message}"
            for one in checks.iter_errors(json.loads(body))
        ]
        assert wrong == [], wrong[:5]
