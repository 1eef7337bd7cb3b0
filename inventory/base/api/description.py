"""Where the API's description is read."""

from functools import cache
from typing import Any

from django.http import HttpResponse
from drf_spectacular.generators import SchemaGenerator
from drf_spectacular.renderers import OpenApiJsonRenderer, OpenApiYamlRenderer
from drf_spectacular.views import SpectacularAPIView
from rest_framework.request import Request

_RENDERERS = {"yaml": OpenApiYamlRenderer, "json": OpenApiJsonRenderer}


class DescriptionView(SpectacularAPIView):
    """The description of the whole API, as YAML or as JSON by what is accepted."""

    schema = None
    # It holds nothing secret, and whoever writes a client may not have a token yet.
    authentication_classes = ()
    permission_classes = ()

    def get(self, request: Request, *args: Any, **kwargs: Any) -> HttpResponse:
        """Return the description, the same for everyone."""
        renderer = request.accepted_renderer
        charset = f"; charset={renderer.charset}" if renderer.charset else ""
        named = {"Content-Disposition": f'inline; filename="Gramil.{renderer.format}"'}
        kind = f"{renderer.media_type}{charset}"
        return HttpResponse(_written(renderer.format), content_type=kind, headers=named)


@cache
def described() -> dict[str, Any]:
    """Describe the API once in a process: nothing changes it while the program runs."""
    found: dict[str, Any] = SchemaGenerator().get_schema(public=True)  # type: ignore[no-untyped-call]
    return found


@cache
def _written(kind: str) -> str | bytes:
    return _RENDERERS[kind]().render(described())
