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

    def get(self, request: Request, *args: Any, **kwargs: Any) -> HttpResponse:
        """Return the description, the same for everyone."""
        renderer = request.accepted_renderer
        charset = f"; charset={renderer.charset}" if renderer.charset else ""
        named = {"Content-Disposition": f'inline; filename="Gramil.{renderer.format}"'}
        kind = f"{renderer.media_type}{charset}"
        return HttpResponse(_written(renderer.format), content_type=kind, headers=named)


@cache
def _written(kind: str) -> str | bytes:
    """Describe the API once in a process: nothing changes it while the program runs."""
    described = SchemaGenerator().get_schema(public=True)  # type: ignore[no-untyped-call]
    return _RENDERERS[kind]().render(described)
