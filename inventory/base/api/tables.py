"""Tables as an answer of the API: as CSV or XLSX, as the Accept header or `format` asks."""

from collections.abc import Mapping
from typing import Any

from django.http import StreamingHttpResponse
from django.http.response import HttpResponseBase
from drf_spectacular.types import OpenApiTypes
from rest_framework.renderers import BaseRenderer, JSONRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.base.api.paper import BytesRenderer, ProblemRenderer, file_of
from inventory.base.tables import CSV, TYPES, XLSX, csv_parts, write_table

TABLES: dict[Any, Any] = {(200, CSV): OpenApiTypes.STR, (200, XLSX): OpenApiTypes.BINARY}


class CsvRenderer(BaseRenderer):
    """Sends a table as it was written; a problem goes out as JSON all the same."""

    media_type, format, render_style = CSV, "csv", "binary"
    charset: str | None = "utf-8"

    def render(
        self,
        data: Any,
        accepted_media_type: str | None = None,
        renderer_context: Mapping[str, Any] | None = None,
    ) -> bytes:
        return data if isinstance(data, bytes) else JSONRenderer().render(data)


class XlsxRenderer(CsvRenderer):
    """The same as a workbook."""

    media_type, format, charset = XLSX, "xlsx", None


WORKBOOK = file_of(XLSX)
WORKBOOK_RENDERERS = [XlsxRenderer, BytesRenderer, ProblemRenderer]
TABLE_RENDERERS = [CsvRenderer, XlsxRenderer, JSONRenderer]


def table(request: Request, rows: Any, name: str) -> HttpResponseBase:
    """Answer with `rows` as a file called `name`, in the form that was asked for.

    CSV is sent while it is written, however many rows there are.
    """
    kind = request.accepted_renderer.format
    kind = kind if kind in TYPES else "csv"
    headers = {"Content-Disposition": f'attachment; filename="{name}.{kind}"'}
    if kind == "csv":
        return StreamingHttpResponse(csv_parts(rows), content_type=CSV, headers=headers)
    written = write_table(rows, kind, name.split("-", maxsplit=1)[0])
    return Response(written, content_type=TYPES[kind], headers=headers)
