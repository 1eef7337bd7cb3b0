"""The page of the day."""

from datetime import date

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from inventory.base.roles import OWNER, role_of
from shop.copies.calc import is_overdue
from shop.copies.queries import copies_in
from shop.desk import queries
from shop.hours.queries.catch_up import reasons_in_use


def today(request: HttpRequest) -> HttpResponse:
    """Show what needs a hand today."""
    now = timezone.now()
    context = {
        "today": queries.today(now),
        "now": now,
        "reasons": reasons_in_use(),
        "late_copy": _late_copy(request, timezone.localdate(now)),
    }
    return render(request, "shop/desk/today.html", context)


def _late_copy(request: HttpRequest, on: date) -> dict[str, object] | None:
    """Return what an owner should know of copies that stopped making themselves."""
    if not settings.COPIES_DAILY or role_of(request.user) != OWNER:
        return None
    last = max(copies_in(settings.COPIES_DIR), default=None)
    return {"last": last, "folder": settings.COPIES_DIR} if is_overdue(last, on) else None
