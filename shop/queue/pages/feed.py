"""The calendar at its secret address."""

from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_GET

from inventory.base.refusals import Refusal
from shop.models import CalendarLink
from shop.queue.calc.secret import hash_secret
from shop.queue.queries.forecast import queue_on


@login_not_required
@require_GET
def queue_calendar(request: HttpRequest, secret: str) -> HttpResponse:
    """Send the calendar to whoever has its address; a revoked one is as one that never was."""
    from shop.queue.documents import calendar_of

    link = CalendarLink.objects.filter(secret_sha256=hash_secret(secret), revoked_at=None)
    if not link.exists():
        raise Http404
    now = timezone.now()
    try:
        answer = queue_on(timezone.localtime(now).date())
    except Refusal as refusal:
        raise Http404 from refusal
    sent = HttpResponse(
        calendar_of(answer, now=now, host=request.get_host()),
        content_type="text/calendar; charset=utf-8",
    )
    sent["Cache-Control"] = "private, max-age=900"
    sent["Referrer-Policy"] = "no-referrer"
    return sent
