"""Errors as problem details (RFC 9457): one sentence that says what is wrong and where."""

from http import HTTPStatus
from json import JSONDecodeError
from typing import Any

from django.core.exceptions import ValidationError as ModelValidationError
from django.db import DataError
from django.http import Http404
from rest_framework import exceptions
from rest_framework.response import Response
from rest_framework.serializers import as_serializer_error
from rest_framework.views import exception_handler

from inventory.base.api.parsers import NotPlain
from inventory.base.refusals import Refusal
from inventory.base.turns import RETRY_AFTER_S, PressBusy

PROBLEM_JSON = "application/problem+json"
GUIDE = "/api/v1/guide/"
"""The page that says what each type of problem means."""
KINDS = {
    400: (
        "wrong-request",
        "A field is wrong, or the request can't be read: mend it.",
    ),
    401: ("no-token", "No token was sent, or it was cut off. Make a new one."),
    403: ("role", "The role of the token's person doesn't allow this."),
    404: ("not-found", "There is no such row, or it was deleted."),
    405: ("method", "This address doesn't take this method."),
    406: ("not-acceptable", "The answer comes in none of the media types that were accepted."),
    409: ("refused", "The state of the stock, build or paper doesn't allow it; try again later."),
    412: ("edited-since", "Someone edited it since it was read. Read it again, then edit it."),
    413: ("too-large", "The body is larger than is taken."),
    415: ("media-type", "The body comes in a media type that isn't read here."),
    422: ("key-used", "The Idempotency-Key was used for another request. Take a new key."),
    428: ("version-missing", "Send the ETag of what was read as If-Match."),
    429: ("too-many", "Too many requests. Wait as long as Retry-After says."),
    503: ("busy", "Nothing was done. Send it again once Retry-After has passed."),
}
"""What each problem is: a word for its address, and what to do about it."""
TOO_FAR = "A number or date in the request is too large or too small."


def problem(status: int, detail: str, **more: Any) -> Response:
    """Return a problem-details answer; `more` are its extension members."""
    return Response(problem_body(status, detail) | more, status=status, content_type=PROBLEM_JSON)


def problem_body(status: int, detail: str) -> dict[str, Any]:
    """Return the members that every problem has."""
    known = {"type": type_of(status), "title": HTTPStatus(status).phrase, "status": status}
    return known | {"detail": detail}


def type_of(status: int) -> str:
    """Return the address of the page on a kind of problem (RFC 9457, 3.1.1)."""
    return f"{GUIDE}#{KINDS[status][0]}" if status in KINDS else "about:blank"


def problem_response(error: Exception, context: dict[str, Any]) -> Response | None:
    """Turn what a view raised into a problem; None for what is a fault of the program."""
    if isinstance(error, Refusal):
        # A view names the fields that it takes under another name than services do.
        own = getattr(context.get("view"), "sent_as", {})
        field = own.get(error.field, error.field)
        errors = [{"field": field, "detail": error.sentence}] if field else []
        return problem(409, error.sentence, **({"errors": errors} if errors else {}))
    if isinstance(error, PressBusy):
        answer = problem(503, error.sentence)
        answer["Retry-After"] = str(RETRY_AFTER_S)
        return answer
    if isinstance(error, OverflowError | DataError):
        return problem(400, TOO_FAR)
    if isinstance(error, ModelValidationError):
        error = exceptions.ValidationError(as_serializer_error(error))
    elif isinstance(error, Http404):
        error = exceptions.NotFound()
    elif isinstance(error, exceptions.ParseError):
        error = exceptions.ParseError(unread(error))
    plain = exception_handler(error, context)
    if plain is None:
        return None
    if isinstance(error, exceptions.ValidationError):
        errors = list(flatten(error.detail))
        answer = problem(400, summary(errors), errors=errors)
    else:
        answer = problem(plain.status_code, str(getattr(error, "detail", error)))
    for name, value in plain.headers.items():
        if name.lower() != "content-type":
            answer[name] = value
    return answer


def unread(error: exceptions.ParseError) -> str:
    """Return a sentence for a body that can't be read, with the place where it breaks off."""
    cause = error.__context__
    if isinstance(cause, JSONDecodeError):
        place = f"line {cause.lineno}, character {cause.colno}"
        return f"The request is not valid JSON: it can't be read beyond {place}."
    plain = error if isinstance(error, NotPlain) else exceptions.ParseError
    return str(getattr(plain, "detail", plain.default_detail))


def flatten(detail: Any, field: str = "") -> Any:
    """Yield one `{field, detail}` for each message, nested fields joined by dots."""
    if isinstance(detail, dict):
        for name, inner in detail.items():
            own = "" if name == "non_field_errors" else str(name)
            yield from flatten(inner, ".".join(filter(None, (field, own))))
    elif isinstance(detail, list):
        for index, inner in enumerate(detail):
            nested = isinstance(inner, dict) and inner
            yield from flatten(inner, f"{field}.{index}" if nested else field)
    else:
        yield {"field": field, "detail": str(detail)}


def summary(errors: list[dict[str, str]]) -> str:
    """Return one sentence for a list of field errors."""
    if not errors:
        return "The request can't be read."
    first = errors[0]
    where = f"{first['field']}: " if first["field"] else ""
    more = f" And {len(errors) - 1} more." if len(errors) > 1 else ""
    return f"{where}{first['detail']}{more}"
