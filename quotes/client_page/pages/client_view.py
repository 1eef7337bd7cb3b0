"""What the pages at secret links have in common: who is let in, what is asked, what is kept out."""

from collections.abc import Callable
from functools import wraps
from typing import Any

from django import forms
from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.csrf import csrf_exempt

from inventory.base.roles import ROLES, allow_roles
from quotes.base.fields import day_field
from quotes.client_page.locking import LinkNotOpen

HEADERS = {
    "Referrer-Policy": "no-referrer",
    "X-Robots-Tag": "noindex, nofollow, noarchive",
    "Cache-Control": "private, no-store",
}
YES, NO = "yes_%s", "no_%s"
"""Ids of the fields of the two forms, which stand on one page."""

ClientView = Callable[..., HttpResponse]


class ClientAcceptForm(forms.Form):
    """The client's name and the day."""

    wrong_title = "Not sent yet. Please check:"
    name = forms.CharField(label="Your name", max_length=120, strip=True)
    dated = day_field(label="Date")


class ClientDeclineForm(forms.Form):
    """A no, with a word or without."""

    wrong_title = "Not sent yet. Please check:"
    name = forms.CharField(label="Your name", max_length=120, required=False)
    words = forms.CharField(
        label="Message to the workshop",
        max_length=300,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )


def open_to_clients(view: ClientView) -> ClientView:
    """Let in who has the secret, and keep the secret from other sites, searches and caches.

    No cookie carries any right here and the secret is the only key, so a forged form would need
    it; a token against forging would only put a cookie on the client's device.
    """

    @wraps(view)
    def guarded(request: HttpRequest, secret: str, **more: Any) -> HttpResponse:
        try:
            response = view(request, secret, **more)
        except LinkNotOpen as refusal:
            context = {"refusal": refusal.sentence, "csrf_token": ""}
            response = render(request, "quotes/client_page/closed.html", context, status=404)
        for name, value in HEADERS.items():
            response[name] = value
        return response

    return login_not_required(csrf_exempt(allow_roles(*ROLES, "")(guarded)))


def pdf_answer(printed: bytes, name: str) -> HttpResponse:
    """Send a paper under a name."""
    headers = {"Content-Disposition": f'inline; filename="{name}.pdf"'}
    return HttpResponse(printed, content_type="application/pdf", headers=headers)
