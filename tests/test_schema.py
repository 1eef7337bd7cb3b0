"""The API's own description: complete, true to its shared headers, and not for strangers."""

import json
import re
from functools import cache

import jsonschema
import pytest
from django.core.management import call_command
from django.utils import timezone
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.renderers import OpenApiJsonRenderer
from rest_framework.test import APIClient

from inventory.base.api.finishing import is_number
from shop.devices.services import add_device

METHODS = {"get", "post", "put", "patch", "delete"}
UNSIGNED = "/api/v1/devices/pair/"
"""Asked by nobody in particular, so that no answer can be kept for a key; a code works once."""


@cache
def schema():
    return SchemaGenerator().get_schema(public=True)


def operations(*methods):
    return [
        (f"{method} {path}", operation)
        for path, item in schema()["paths"].items()
        for method, operation in item.items()
        if method in (methods or METHODS)
    ]


def headers_of(operation):
    return {one["name"]: one for one in operation.get("parameters", []) if one["in"] == "header"}


def bodies_of(operation):
    return operation.get("requestBody", {}).get("content", {})


def resolvable(part):
    """Return a part of the description as a JSON schema that can look its references up."""
    return {**part, "components": schema()["components"]}


@pytest.mark.django_db
def test_the_schema_has_neither_error_nor_warning(tmp_path):
    call_command("spectacular", "--validate", "--fail-on-warn", "--file", tmp_path / "schema.yml")
    assert "openapi: 3" in (tmp_path / "schema.yml").read_text()


def test_every_operation_says_what_it_does():
    assert [name for name, one in operations() if len(one.get("description", "")) < 5] == []


def test_every_post_takes_an_idempotency_key():
    without = [name for name, one in operations("post") if "Idempotency-Key" not in headers_of(one)]
    assert without == [f"post {UNSIGNED}"]


def test_every_change_needs_the_version_it_was_read_at():
    unversioned = {"delete /api/v1/devices/{id}/"}  # cutting off a lost device never waits
    without = {
        name
        for name, one in operations("put", "patch", "delete")
        if not headers_of(one).get("If-Match", {}).get("required")
    }
    assert without == unversioned


def test_a_version_is_read_where_it_is_needed():
    paths = schema()["paths"]
    for name, one in operations("put", "patch"):
        path = name.split()[1]
        read = paths[path].get("get") or paths[path.rstrip("/").rsplit("/", 1)[0] + "/"]["get"]
        assert "ETag" in read["responses"]["200"]["headers"], name
        assert "ETag" in one["responses"]["200"]["headers"], name


def test_every_body_that_is_posted_has_an_example():
    without = [
        name
        for name, one in operations("post")
        if bodies_of(one) and not any("examples" in body for body in bodies_of(one).values())
    ]
    assert without == []


def test_examples_are_what_the_schema_allows():
    checked = 0
    for name, one in operations():
        for body in bodies_of(one).values():
            for example in body.get("examples", {}).values():
                problems = jsonschema.Draft202012Validator(
                    resolvable(body["schema"]) | {"title": name}
                ).iter_errors(example["value"])
                assert [f"{name}: {problem.message}" for problem in problems] == []
                checked += 1
    assert checked > 50


def references(part):
    if isinstance(part, dict):
        yield from [part["$ref"]] if "$ref" in part else []
        part = list(part.values())
    if isinstance(part, list):
        for inner in part:
            yield from references(inner)


def test_every_reference_leads_somewhere():
    known = {f"#/components/schemas/{name}" for name in schema()["components"]["schemas"]}
    assert set(references(schema())) - known == set()


def test_problems_are_described_as_problem_details():
    for name, one in operations():
        declined = {code: body for code, body in one["responses"].items() if code > "399"}
        assert "default" in declined, name
        for code, body in declined.items():
            assert list(body["content"]) == ["application/problem+json"], (name, code)


def test_the_schema_opens_without_a_token_and_names_nobody(client, posy):
    answer = client.get("/api/v1/schema/")
    assert answer.status_code == 200
    assert posy.username not in answer.content.decode()


def test_every_figure_and_every_parameter_says_what_it_is():
    schemas = schema()["components"]["schemas"]
    bare = {
        f"{name}.{field}"
        for name, one in schemas.items()
        for field, told in one.get("properties", {}).items()
        if is_number(told) and not told.get("description")
    }
    assert bare == set()
    unsaid = [
        f"{name}: {one['name']}"
        for name, operation in operations()
        for one in operation.get("parameters", [])
        if not one.get("description")
    ]
    assert unsaid == []


PERCENT = re.compile(r"(\b|_)per ?cent(age)?s?\b", re.IGNORECASE)
NAMED_SO = {"ContingencyBy", "WasteRule"}
"""Rules of the shop that are called after a percentage; their figures are shares all the same."""


def test_no_figure_is_in_percent():
    told = {
        f"{name}.{field}"
        for name, one in schema()["components"]["schemas"].items()
        for field, told in one.get("properties", {}).items()
        if PERCENT.search(f"{field} {told.get('description', '')}")
        and not any(f"/{rule}" in json.dumps(told) for rule in NAMED_SO)
    }
    assert told == set()
    asked = {
        f"{name}: {one['name']}"
        for name, operation in operations()
        for one in operation.get("parameters", [])
        if PERCENT.search(f"{one['name']} {one['description']}")
    }
    assert asked == set()


def test_every_operation_says_who_may_do_it():
    for name, one in operations():
        assert "Roles: " in one["description"] or "Needs no token." in one["description"], name


def test_people_and_devices_get_the_schema(client, looker_on, posy):
    client.force_login(looker_on)
    assert client.get("/api/v1/schema/").status_code == 200
    _, token = add_device(user=posy, name="phone", now=timezone.now(), rights="all")
    device = APIClient(headers={"Authorization": f"Token {token}"})
    assert device.get("/api/v1/schema/").status_code == 200


def test_the_schema_is_read_as_it_is_made_however_often(client, looker_on):
    client.force_login(looker_on)
    for _ in range(2):
        answer = client.get("/api/v1/schema/", headers={"Accept": "application/json"})
        assert answer["Content-Type"] == "application/json"
        assert answer.json() == json.loads(OpenApiJsonRenderer().render(schema()))
