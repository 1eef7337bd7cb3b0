"""The typefaces of the pages: cut down to what pages need, as WOFF2."""

from hashlib import sha256

from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import condition, require_safe

from inventory.base.documents import WEB_CUTS, web_face

DAY = 24 * 3600


def _etag(request: HttpRequest, cut: str) -> str | None:
    return f'"{sha256(web_face(cut)).hexdigest()}"' if cut in WEB_CUTS else None


@require_safe
@login_not_required
@condition(etag_func=_etag)
def face(request: HttpRequest, cut: str) -> HttpResponse:
    """Send one cut. Its address names no version, so a browser asks each day if it is the same."""
    if cut not in WEB_CUTS:
        raise Http404
    headers = {"Cache-Control": f"public, max-age={DAY}, must-revalidate"}
    return HttpResponse(web_face(cut), content_type="font/woff2", headers=headers)
