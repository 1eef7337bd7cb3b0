"""Asked twice, done once: POST with an Idempotency-Key header."""

import hashlib
import json
from collections.abc import Callable
from functools import wraps
from typing import Any, cast

from django.contrib.auth.models import User
from django.db import IntegrityError, transaction
from django.http import QueryDict
from django.utils import timezone
from django.utils.crypto import salted_hmac
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.problems import problem
from inventory.base.attempts import gave_way, in_attempts
from inventory.models import KeptAnswer

KEPT_HEADERS = ("ETag", "Location")
KEPT_REFUSALS = {400}
"""What the body itself gets wrong: the same body is as wrong the next time."""
SECRETS = {"password", "new_password"}
"""Fields whose plain digest would let whoever reads the database try passwords at leisure."""
Handler = Callable[..., Response]


def fingerprint(request: Request) -> str:
    """Return a SHA-256 of the method, path and content of a request, its files included."""
    digest = hashlib.sha256(f"{request.method} {request.path}\n".encode())
    data = request.data
    files = {name: request.FILES.getlist(name) for name in request.FILES}
    plain: Any = data
    if isinstance(data, QueryDict):
        plain = {name: data.getlist(name) for name in data if name not in files}
    if isinstance(plain, dict) and SECRETS & plain.keys():
        plain = plain | {name: _hidden(plain[name]) for name in SECRETS & plain.keys()}
    digest.update(json.dumps(plain, sort_keys=True, default=str).encode())
    for name in sorted(files):
        for upload in files[name]:
            digest.update(f"\n{name} {upload.name}\n".encode())
            digest.update(b"".join(upload.chunks()))
            upload.seek(0)
    return digest.hexdigest()


def _hidden(secret: Any) -> str:
    return salted_hmac(__name__, f"{secret}", algorithm="sha256").hexdigest()


def run_once(view: Any, handler: Handler) -> Handler:
    """Wrap the POST handler of `view` so that a repeated key gets the first answer again.

    With or without a key, a handler that raises leaves nothing half-written.
    """

    def from_the_start(request: Request, *args: Any, **kwargs: Any) -> Response:
        # An attempt that gave way has read the files to their end.
        for name in request.FILES:
            for upload in request.FILES.getlist(name):
                upload.seek(0)
        return handler(request, *args, **kwargs)

    whole = in_attempts(transaction.atomic(from_the_start))

    @wraps(handler)
    def answer(request: Request, *args: Any, **kwargs: Any) -> Response:
        key = request.headers.get("Idempotency-Key", "")
        if not key:
            return whole(request, *args, **kwargs)
        if len(key) > 200:
            return problem(400, "An Idempotency-Key has at most 200 characters.")
        mark = fingerprint(request)
        return claimed(request, key, mark, *args, **kwargs)

    @in_attempts
    @transaction.atomic
    def claimed(request: Request, key: str, mark: str, *args: Any, **kwargs: Any) -> Response:
        kept = _claim(request, key, mark)
        if kept is None:
            return _replay(request, key, mark)
        try:
            response = whole(request, *args, **kwargs)
        except Exception as error:
            if gave_way(error):
                raise
            response = view.handle_exception(error)
        return _keep(kept, response)

    return answer


def _claim(request: Request, key: str, mark: str) -> KeptAnswer | None:
    """Take the key. A second taker waits here for the first to commit, and gets None."""
    try:
        with transaction.atomic():
            return KeptAnswer.objects.create(
                user=cast(User, request.user), key=key, fingerprint=mark, made_at=timezone.now()
            )
    except IntegrityError:
        return None


def _keep(kept: KeptAnswer, response: Response) -> Response:
    # What was refused for the state of things may be asked again once they have changed.
    if response.status_code >= 400 and response.status_code not in KEPT_REFUSALS:
        kept.delete()
        return response
    kept.status = response.status_code
    kept.body = JSONRenderer().render(response.data).decode() if response.data is not None else ""
    kept.headers = {name: response[name] for name in KEPT_HEADERS if name in response.headers}
    kept.save(update_fields=["status", "body", "headers"])
    return response


def _replay(request: Request, key: str, mark: str) -> Response:
    kept = KeptAnswer.objects.get(user=cast(User, request.user), key=key)
    if kept.fingerprint != mark:
        return problem(
            422, "This Idempotency-Key was used for another request. Send a new key with it."
        )
    body = json.loads(kept.body) if kept.body else None
    content_type = "application/problem+json" if (kept.status or 0) >= 400 else None
    response = Response(body, status=kept.status, content_type=content_type)
    for name, value in kept.headers.items():
        response[name] = value
    response["Idempotency-Replayed"] = "true"
    return response


class IdempotentMixin:
    """Gives every POST of a view the Idempotency-Key header."""

    post: Handler

    def initial(self, request: Request, *args: Any, **kwargs: Any) -> None:
        super().initial(request, *args, **kwargs)  # type: ignore[misc]
        if request.method == "POST" and hasattr(self, "post"):
            self.post = run_once(self, self.post)
