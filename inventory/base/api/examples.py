"""Examples of what is sent, for the API's description."""

from typing import Any

from drf_spectacular.utils import OpenApiExample, extend_schema_serializer


def example(words: str, **value: Any) -> Any:
    """Return a decorator that shows `value`, described by `words`, as a serializer's example."""
    shown = OpenApiExample(words, value=value, request_only=True)
    return extend_schema_serializer(examples=[shown])
