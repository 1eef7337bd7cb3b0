"""The API's description: what every end point shares is said here, once."""

from typing import Any

from drf_spectacular.openapi import AutoSchema
from drf_spectacular.utils import OpenApiParameter
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
        if getattr(self.view, "action", "list") != "list":
            return []
        return super()._get_filter_parameters()  # type: ignore[no-untyped-call]

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
        content = {PROBLEM_JSON: {"schema": self.resolve_serializer(ProblemDetails, direction).ref}}
        problems = {
            code: {"description": words, "content": content} for code, words in self._problems()
        }
        return bodies | problems

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
