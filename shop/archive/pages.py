"""Download everything: all data as one file."""

from typing import Any

from django.db import connection
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.utils import timezone

from inventory.base.pages import render_form
from inventory.base.roles import OWNER, allow_roles
from inventory.models import Workshop
from shop.access.bookkeeping import Act, log_access
from shop.access.middleware import address_of
from shop.access.pages.doors import asks_password_again, owners_only
from shop.archive.documents import send_everything
from shop.copies.queries import NoRoom


@allow_roles(OWNER)
@owners_only
@asks_password_again
def everything(request: HttpRequest) -> HttpResponse | StreamingHttpResponse:
    """Say what the file holds; asked for by its button, send it."""
    context: dict[str, Any] = {"has_database": connection.vendor == "sqlite"}
    if request.method == "POST":
        try:
            answer = send_everything(Workshop.objects.get())
        except NoRoom as refusal:
            context["refusal"] = refusal.sentence
        else:
            log_access(
                act=Act.EXPORTED,
                person=request.user.get_username(),
                now=timezone.now(),
                address=address_of(request),
            )
            return answer
    return render_form(request, "shop/archive/everything.html", context)
