"""Reading what a request asks for."""

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request


def asked_of(kind: type[serializers.Serializer], request: Request) -> dict[str, Any]:
    """Return the body of `request` checked by `kind`. Raises ValidationError for what is wrong."""
    asked = kind(data=request.data)
    asked.is_valid(raise_exception=True)
    return dict(asked.validated_data)
