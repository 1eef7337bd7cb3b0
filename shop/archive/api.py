"""Download everything: all data as one file."""

from typing import Any

from django.http import StreamingHttpResponse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request

from inventory.base.api.views import ActionView
from inventory.base.roles import OWNER_ONLY
from inventory.models import Workshop
from shop.archive.documents import send_everything

ZIP: dict[Any, Any] = {(200, "application/zip"): OpenApiTypes.BINARY}


class EverythingView(ActionView):
    """All data of the workshop."""

    read_roles = OWNER_ONLY

    @extend_schema(responses=ZIP)
    def get(self, request: Request) -> StreamingHttpResponse:
        """Send a ZIP with every table (CSV), every paper and photo, on SQLite the database too.

        For owners. It is written while it is sent, so its length is not known beforehand.
        """
        return send_everything(Workshop.objects.get())
