"""The typefaces of the pages: cut down to what pages need, as WOFF2."""

from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from inventory.base.documents import WEB_CUTS, web_face

YEAR = 365 * 24 * 3600


@require_safe
@login_not_required
def face(request: HttpRequest, cut: str) -> HttpResponse:
    """Send one cut; it stays the same as long as its package does."""
    if cut not in WEB_CUTS:
        raise Http404
    headers = {"Cache-Control": f"public, max-age={YEAR}, immutable"}
    return HttpResponse(web_face(cut), content_type="font/woff2", headers=headers)
