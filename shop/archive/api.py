"""Download everything: all data as one file."""

from django.http import StreamingHttpResponse
from django.utils import timezone
from drf_spectacular.utils import extend_schema
from rest_framework.exceptions import PermissionDenied
from rest_framework.request import Request

from inventory.base.api.paper import FILE_RENDERERS, ZIP
from inventory.base.api.views import ActionView
from inventory.base.roles import OWNER_ONLY
from inventory.models import Workshop
from shop.access.bookkeeping import Act, log_access
from shop.access.middleware import address_of
from shop.access.pages.doors import is_confirmed
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
        if request.auth is None and not is_confirmed(request._request):
            raise PermissionDenied(
                "Enter your password again on the page Download everything, then ask again."
            )
        answer = send_everything(Workshop.objects.get())
        log_access(
            act=Act.EXPORTED,
            person=request.user.get_username(),
            now=timezone.now(),
            address=address_of(request._request),
        )
        return answer
