"""Reading what a request asks for."""

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request


def validated_body(
    kind: type[serializers.Serializer], request: Request, **context: Any
) -> dict[str, Any]:
    """Return the body of `request` checked by `kind`, which may need `context`.

    Raises ValidationError for what is wrong.
    """
    asked = kind(data=request.data, context=context)
    asked.is_valid(raise_exception=True)
    return dict(asked.validated_data)
