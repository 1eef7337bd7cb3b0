"""Download everything: all data as one file."""

from django.http import StreamingHttpResponse
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request

from inventory.base.api.paper import FILE_RENDERERS, ZIP
from inventory.base.api.views import ActionView
from inventory.base.roles import OWNER_ONLY
from inventory.models import Workshop
from shop.archive.documents import send_everything


class EverythingView(ActionView):
    """All data of the workshop."""

    read_roles = OWNER_ONLY
    renderer_classes = FILE_RENDERERS

    @extend_schema(responses=ZIP)
    def get(self, request: Request) -> StreamingHttpResponse:
        """Send a ZIP with every table (CSV), every paper and photo, on SQLite the database too.

        For owners. It is written while it is sent, so its length is not known beforehand.
        """
        return send_everything(Workshop.objects.get())
