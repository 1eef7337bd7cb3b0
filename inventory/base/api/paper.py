"""Papers and other files as an answer of the API."""

from collections.abc import Mapping
from typing import Any

from drf_spectacular.types import OpenApiTypes
from rest_framework.renderers import BaseRenderer, JSONRenderer
from rest_framework.request import Request

BYTES = "application/octet-stream"


class PaperRenderer(BaseRenderer):
    """Sends a PDF as it is; a problem goes out as JSON all the same."""

    media_type = "application/pdf"
    format = "pdf"
    charset = None
    render_style = "binary"

    def render(
        self,
        data: Any,
        accepted_media_type: str | None = None,
        renderer_context: Mapping[str, Any] | None = None,
    ) -> bytes:
        return data if isinstance(data, bytes) else JSONRenderer().render(data)


class BytesRenderer(PaperRenderer):
    """The same for clients that know files only as bytes."""

    media_type, format = BYTES, "bytes"

    def render(
        self,
        data: Any,
        accepted_media_type: str | None = None,
        renderer_context: Mapping[str, Any] | None = None,
    ) -> bytes:
        if isinstance(data, bytes) and renderer_context:
            renderer_context["response"]["Content-Type"] = BYTES
        return super().render(data, accepted_media_type, renderer_context)


class ProblemRenderer(JSONRenderer):
    """Sends a problem as JSON; a paper stays the PDF that it is, also where JSON is asked for."""

    def render(
        self,
        data: Any,
        accepted_media_type: str | None = None,
        renderer_context: Mapping[str, Any] | None = None,
    ) -> bytes:
        if isinstance(data, bytes):
            return data
        rendered: bytes = super().render(data, accepted_media_type, renderer_context)
        return rendered


class AnyKindRenderer(ProblemRenderer):
    """Lets a client ask for a file by any media type: it is sent as what it is."""

    media_type, format = "*/*", "any"


PAPER_RENDERERS = (PaperRenderer, BytesRenderer, ProblemRenderer)
FILE_RENDERERS = (ProblemRenderer, AnyKindRenderer)


def file_of(kind: str) -> dict[Any, Any]:
    """Return the description of an answer that is a file: as its own kind, or as plain bytes."""
    return {(200, kind): OpenApiTypes.BINARY, (200, BYTES): OpenApiTypes.BINARY}


PDF, JPEG, ZIP = (file_of(kind) for kind in ("application/pdf", "image/jpeg", "application/zip"))


def kind_asked(request: Request, kind: str) -> str:
    """Return the media type in which a file of `kind` is sent: as bytes to whoever asks so."""
    return BYTES if request.accepted_media_type == BYTES else kind
