"""Versions of what two people may edit: ETag on reading, If-Match on changing."""

import hashlib
from typing import Any

from django.db import transaction
from rest_framework import status
from rest_framework.exceptions import APIException
from rest_framework.renderers import JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.attempts import in_attempts


class VersionMissing(APIException):
    status_code = status.HTTP_428_PRECONDITION_REQUIRED
    default_detail = "Send the ETag of what you read as If-Match, so that nobody's edit is lost."


class VersionOutdated(APIException):
    status_code = status.HTTP_412_PRECONDITION_FAILED
    default_detail = "Someone else edited this since you read it. Read it again, then edit it."


def etag_of(data: Any) -> str:
    """Return a strong ETag of serialized data."""
    return f'"{hashlib.sha256(JSONRenderer().render(data)).hexdigest()[:32]}"'


class VersionedMixin:
    """For view sets: answers carry an ETag; PUT, PATCH and DELETE need a matching If-Match."""

    def retrieve(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        response: Response = super().retrieve(request, *args, **kwargs)  # type: ignore[misc]
        response["ETag"] = etag_of(response.data)
        return response

    @in_attempts
    def update(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        with transaction.atomic():
            self._check_version(request)
            response: Response = super().update(request, *args, **kwargs)  # type: ignore[misc]
            response["ETag"] = self._current_etag()
            return response

    @in_attempts
    def destroy(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        with transaction.atomic():
            self._check_version(request)
            response: Response = super().destroy(request, *args, **kwargs)  # type: ignore[misc]
            return response

    def _current_etag(self) -> str:
        return etag_of(self.get_serializer(self.get_object()).data)  # type: ignore[attr-defined]

    def _check_version(self, request: Request) -> None:
        sent = request.headers.get("If-Match", "")
        if not sent:
            raise VersionMissing
        row = self.get_object()  # type: ignore[attr-defined]
        type(row)._default_manager.select_for_update().filter(pk=row.pk).first()
        if sent not in {"*", self._current_etag()}:
            raise VersionOutdated
