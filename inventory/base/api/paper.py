"""Papers as an answer of the API."""

from collections.abc import Mapping
from typing import Any

from rest_framework.renderers import BaseRenderer, JSONRenderer


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


PAPER_RENDERERS = (PaperRenderer, ProblemRenderer)
