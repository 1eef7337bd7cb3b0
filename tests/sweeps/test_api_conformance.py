"""Generated requests against the whole API: no fault of the program, every answer as described."""

import schemathesis
from django.contrib.auth.models import User
from django.core.signals import request_finished, request_started
from django.db import close_old_connections
from django.urls import Resolver404, resolve
from drf_spectacular.generators import SchemaGenerator
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from hypothesis.errors import Unsatisfiable
from schemathesis import checks
from schemathesis.core.failures import FailureGroup
from schemathesis.generation import GenerationMode

from inventory.models import Family, Lot, Material, Place, Supplier
from quotes.models import Client, Commission, Quote
from shop.models import Build, BuildLine, BuildStage, BuildTemplate, TimeEntry
from shop.wsgi import application
from tests.sweeps.demo import DemoTestCase, undone
from tests.sweeps.wording import FRAMEWORK

READS = {GenerationMode.POSITIVE: 2, GenerationMode.NEGATIVE: 1}
WRITES = {GenerationMode.POSITIVE: 5, GenerationMode.NEGATIVE: 3}
"""How often each operation is asked: what only reads can do no harm and is asked less."""


def shops_own_words(ctx, response, case):
    """What is wrong is said in no framework's words."""
    if response.status_code >= 400:
        assert not FRAMEWORK.search(response.text), response.text


CHECKS = [
    shops_own_words,
    checks.not_a_server_error,
    checks.status_code_conformance,
    checks.content_type_conformance,
    checks.response_headers_conformance,
    checks.response_schema_conformance,
]
MODELS = {
    "build": Build,
    "client": Client,
    "commission": Commission,
    "entry": TimeEntry,
    "family": Family,
    "line": BuildLine,
    "lot": Lot,
    "material": Material,
    "person": User,
    "place": Place,
    "quote": Quote,
    "stage": BuildStage,
    "supplier": Supplier,
    "template": BuildTemplate,
}
"""What a whole number of this name points at."""


def closing(environ, start_response):
    """Close each answer once it is read, as a server must (PEP 3333) and the generator doesn't."""
    answer = application(environ, start_response)
    try:
        return [b"".join(answer)]
    finally:
        answer.close()


class ApiConformance(DemoTestCase):
    def setUp(self):
        # A real server closes connections between requests; here they hold what is to be undone.
        for signal in (request_started, request_finished):
            signal.disconnect(close_old_connections)
            self.addCleanup(signal.connect, close_old_connections)

    def test_generated_requests_are_answered_as_described(self):
        self.rows = {
            name: list(model.objects.values_list("pk", flat=True)) for name, model in MODELS.items()
        }
        failures = []
        for operation in operations():
            for mode, examples in (READS if operation.method == "get" else WRITES).items():
                if mode is GenerationMode.NEGATIVE and not can_be_asked_wrongly(operation):
                    continue
                try:
                    self.ask(operation, mode, examples)
                except Unsatisfiable:
                    pass  # the generator found nothing wrong to ask after all
                except (Exception, FailureGroup) as failure:
                    failures.append(f"{operation.label}, {mode.value}: {told(failure)}")
        assert not failures, "\n".join(failures)

    def ask(self, operation, mode, examples):
        keys = keys_of(operation.path)

        @settings(
            max_examples=examples,
            derandomize=True,
            database=None,
            deadline=None,
            phases=[Phase.generate],
            suppress_health_check=list(HealthCheck),
        )
        @given(case=operation.as_strategy(generation_mode=mode), pick=st.integers(0, 10_000))
        def answered(case, pick):
            if mode is GenerationMode.POSITIVE:
                self.aim(case, keys, pick)
            headers = {"Authorization": f"Token {self.token}", "Accept-Encoding": "identity"}
            with undone():
                case.call_and_validate(headers=headers, checks=CHECKS)

        answered()

    def aim(self, case, keys, pick):
        """Point a request at rows that there are, so that it goes as deep as it can."""
        if keys and case.path_parameters:
            first = next(iter(case.path_parameters))
            case.path_parameters[first] = keys[pick % len(keys)]
        if case.headers and "If-Match" in case.headers:
            case.headers["If-Match"] = "*"
        self.point(case.body, pick)

    def point(self, body, pick):
        """Make every key in a body one of the rows of its model."""
        if isinstance(body, list):
            for inner in body:
                self.point(inner, pick)
        elif isinstance(body, dict):
            for name, value in body.items():
                known = self.rows.get(name)
                if known and isinstance(value, int):
                    body[name] = known[pick % len(known)]
                else:
                    self.point(value, pick)


def operations():
    schema = schemathesis.openapi.from_dict(SchemaGenerator().get_schema(public=True))
    schema.app = closing
    return [found.ok() for found in schema.get_all_operations()]


def can_be_asked_wrongly(operation):
    """Say whether there is a body, a query, or a part of the address that is not any text."""
    parts = [one.definition["schema"] for one in operation.path_parameters]
    return bool(operation.body or operation.query) or any(
        one.get("type") != "string" or "pattern" in one for one in parts
    )


def keys_of(path):
    """Return the keys of the rows below the first part of an address, such as /api/v1/builds/."""
    try:
        view = resolve("/".join(path.split("/")[:4]) + "/").func.cls
    except Resolver404:
        return []
    rows = getattr(view, "queryset", None)
    return [] if rows is None else [*rows.values_list(view.lookup_field, flat=True)]


def told(failure):
    """Return what one operation was found to do wrong, each thing once."""
    inner = getattr(failure, "exceptions", [failure])
    return " | ".join(dict.fromkeys(f"{one!r} {one}"[:700] for one in inner))
