"""The API's description: what every end point shares is said here, once."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from drf_spectacular.openapi import AutoSchema
from drf_spectacular.utils import OpenApiParameter, inline_serializer
from rest_framework import serializers

from inventory.base.api.etags import VersionedMixin
from inventory.base.api.idempotency import IdempotentMixin
from inventory.base.api.operation_ids import operation_id
from inventory.base.api.problems import PROBLEM_JSON
from inventory.base.roles import BENCH_ROLES, ROLE_WORDS, ROLES

CHANGING = ("PUT", "PATCH", "DELETE")
IDEMPOTENCY_KEY = OpenApiParameter(
    "Idempotency-Key",
    {"type": "string", "maxLength": 200, "example": "7f1b0a52-5d0e-4f5c-9d0a-6a3b5e7c1d11"},
    OpenApiParameter.HEADER,
    description=(
        "A key of your own choice. The same key with the same body returns the first "
        "answer and does nothing twice; with another body it is refused (422). Successes and "
        "what a field gets wrong (400) are kept; what the state of things refuses (409) or a "
        "role (403) is not, and may be tried again under the same key."
    ),
)
IF_MATCH = OpenApiParameter(
    "If-Match",
    str,
    OpenApiParameter.HEADER,
    required=True,
    description="The ETag of what was read, so that nobody's edit is lost.",
)
IF_NONE_MATCH = OpenApiParameter(
    "If-None-Match",
    str,
    OpenApiParameter.HEADER,
    description="The ETag of the answer that you have: 304 without a body while it still holds.",
)
READ_ETAG = {"ETag": {"schema": {"type": "string"}, "description": "To send as If-None-Match."}}
UNCHANGED = {"304": {"description": "It is as it was when it had the ETag of If-None-Match."}}
ETAG = {"ETag": {"schema": {"type": "string"}, "description": "The version, to send as If-Match."}}
SUMMARIES = {
    "list": "List {}",
    "retrieve": "Read one of {}",
    "create": "Add to {}",
    "update": "Replace one of {}",
    "partial_update": "Edit one of {}",
    "destroy": "Delete one of {}",
}


def decimal_pattern(field: Any) -> str:
    """Return the pattern of a decimal: plain digits, with a point before the last ones."""
    whole, places = field.max_digits - field.decimal_places, field.decimal_places
    sign = "" if field.min_value is not None and field.min_value >= 0 else "-?"
    after = rf"(?:\.\d{{1,{places}}})?" if places else ""
    return rf"^{sign}\d{{1,{max(whole, 1)}}}{after}$"


def key_of(view: Any) -> str:
    """Return by which field the rows of `view` go: their id, or the number of a piece."""
    return "id" if view.lookup_field == "pk" else "number"


def changes_data(row: Any, key: str) -> serializers.Serializer:
    """Return what an answer with changes of rows such as `row` looks like, for the description."""
    kind = row if isinstance(row, type) else type(row)
    gone = serializers.IntegerField() if key == "id" else serializers.CharField()
    return inline_serializer(
        f"{kind.__name__.removesuffix('Serializer')}Changes",
        {
            "cursor": serializers.CharField(help_text="To send as `since` the next time."),
            "is_whole": serializers.BooleanField(
                help_text="True: these are all rows; forget what you have of the list."
            ),
            "changed": kind(many=True),
            "gone": serializers.ListField(
                child=gone, help_text="Rows that are no longer in the list, by their key."
            ),
        },
    )


class WrongField(serializers.Serializer):
    """One thing that is wrong, and where."""

    field = serializers.CharField(help_text="Nested fields are joined by dots.")
    detail = serializers.CharField()


class ProblemDetails(serializers.Serializer):
    """What went wrong, as RFC 9457 problem details."""

    type = serializers.CharField()
    title = serializers.CharField()
    status = serializers.IntegerField()
    detail = serializers.CharField(help_text="One sentence: what is wrong, and where.")
    errors: Any = WrongField(many=True, required=False)


class DescribedSchema(AutoSchema):
    """Adds the headers, the problems and a summary to every operation."""

    def get_operation_id(self) -> str:
        is_list = self.method == "GET" and self._is_list_view()
        action = getattr(self.view, "action", "")
        return operation_id(
            self._tokenize_path(), method=self.method, action=action, is_list=bool(is_list)
        )

    def get_override_parameters(self) -> list[Any]:
        shared = []
        if self._is_asked_once():
            shared.append(IDEMPOTENCY_KEY)
        if self._is_versioned():
            shared.append(IF_MATCH)
        if self.method == "GET":
            shared.append(IF_NONE_MATCH)
        return [*super().get_override_parameters(), *shared]

    def get_summary(self) -> str | None:
        kind = SUMMARIES.get(getattr(self.view, "action", ""))
        parts = [part for part in self.path.split("/") if part and "{" not in part]
        return kind.format(parts[-1].replace("-", " ")) if kind else super().get_summary()

    def _get_paginator(self) -> Any:
        """Only what is read comes in pages; what an action answers is one list."""
        return super()._get_paginator() if self.method == "GET" else None  # type: ignore[no-untyped-call]

    def _get_filter_parameters(self) -> Any:
        """Only a list is filtered: what an action answers takes no filters, and adds none."""
        if self._tells_changes():
            with self._as_list():
                found = super()._get_filter_parameters()  # type: ignore[no-untyped-call]
            return [one for one in found if one["name"] != "ordering"]
        if getattr(self.view, "action", "list") != "list":
            return []
        return super()._get_filter_parameters()  # type: ignore[no-untyped-call]

    def get_response_serializers(self) -> Any:
        if not self._tells_changes():
            return super().get_response_serializers()
        with self._as_list():
            row = super().get_response_serializers()
        return changes_data(row, key_of(self.view))

    def _tells_changes(self) -> bool:
        return getattr(self.view, "action", "") == "changed"

    @contextmanager
    def _as_list(self) -> Iterator[None]:
        self.view.action = "list"  # type: ignore[attr-defined]
        try:
            yield
        finally:
            self.view.action = "changed"  # type: ignore[attr-defined]

    def _map_serializer_field(self, field: Any, *args: Any, **kwargs: Any) -> Any:
        mapped = super()._map_serializer_field(field, *args, **kwargs)  # type: ignore[no-untyped-call]
        if isinstance(field, serializers.TimeField) and mapped:
            # The format "time" would have a zone; these are hands of a clock on the wall.
            mapped = {**mapped, "format": "local-time", "example": "17:00:00"}
        return mapped

    def _insert_field_validators(self, field: Any, schema: dict[str, Any]) -> None:
        super()._insert_field_validators(field, schema)  # type: ignore[no-untyped-call]
        if isinstance(field, serializers.DecimalField) and schema.get("format") == "decimal":
            schema["pattern"] = decimal_pattern(field)
        # A blank is the second choice of a field with a pattern: the default is of both.
        for choice in schema.get("oneOf", []):
            if "default" in choice:
                schema["default"] = choice.pop("default")

    def _get_response_bodies(self, direction: Any = "response") -> dict[str, Any]:
        bodies: dict[str, Any] = super()._get_response_bodies(direction)
        for code, body in bodies.items():
            if code in {"200", "201"} and self._carries_etag():
                body["headers"] = ETAG | body.get("headers", {})
            elif code == "200" and self.method == "GET":
                body["headers"] = READ_ETAG | body.get("headers", {})
        content = {PROBLEM_JSON: {"schema": self.resolve_serializer(ProblemDetails, direction).ref}}
        problems = {
            code: {"description": words, "content": content} for code, words in self._problems()
        }
        return bodies | (UNCHANGED if self.method == "GET" else {}) | problems

    def get_description(self) -> str:  # type: ignore[override]
        """Return what the operation does, and who may do it."""
        said: str = super().get_description()
        if not self.view.get_authenticators():
            return f"{said}\n\nNeeds no token."
        return f"{said}\n\nRoles: {', '.join(self._roles())}."

    def _roles(self) -> list[str]:
        reads = self.method == "GET"
        own = getattr(self.view, "read_roles" if reads else "write_roles", None)
        allowed = own or (ROLES if reads else BENCH_ROLES)
        return [ROLE_WORDS[role] for role in ROLES if role in allowed]

    def _problems(self) -> list[tuple[str, str]]:
        """Return the statuses in which this operation may be declined, and why."""
        reads = self.method == "GET"
        found = {
            "400": not reads and "The request can't be read, or a field is wrong.",
            "401": bool(self.view.get_authenticators()) and "Nobody is signed in.",
            "403": bool(self.view.get_authenticators()) and "The role does not allow it.",
            "404": "{" in self.path and "Not found.",
            "409": not reads and "The state of the stock, build or document does not allow it.",
            "412": self._is_versioned() and "Someone edited it since it was read.",
            "422": self._is_asked_once() and "The Idempotency-Key was used for another request.",
            "428": self._is_versioned() and "If-Match is missing.",
            "default": "Any other problem.",
        }
        return [(code, words) for code, words in found.items() if words]

    def _is_asked_once(self) -> bool:
        return self.method == "POST" and isinstance(self.view, IdempotentMixin)

    def _is_versioned(self) -> bool:
        return self.method in CHANGING and isinstance(self.view, VersionedMixin)

    def _carries_etag(self) -> bool:
        reads_one = self.method == "GET" and getattr(self.view, "action", "retrieve") == "retrieve"
        return isinstance(self.view, VersionedMixin) and (reads_one or self._is_versioned())
