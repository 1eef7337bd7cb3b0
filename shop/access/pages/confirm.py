"""The password asked for again before the deepest rights."""

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme

from inventory.base.pages import FormPage, handle_form
from inventory.base.refusals import Refusal
from inventory.base.roles import ROLES, allow_roles
from shop.access.bookkeeping import NOT_YOUR_PASSWORD, Act, is_password_of, log_access
from shop.access.middleware import address_of
from shop.access.pages.doors import note_confirmed


class ConfirmForm(forms.Form):
    """My password once more."""

    password = forms.CharField(
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"})
    )


@allow_roles(*ROLES)
def confirm(request: HttpRequest) -> HttpResponse:
    """Ask for my password again, then go on to where I was."""
    onward = request.GET.get("next", "")
    if not url_has_allowed_host_and_scheme(onward, {request.get_host()}):
        onward = reverse("today")
    page = FormPage(
        heading="Your password, please",
        do="Continue",
        back=reverse("today"),
        lede="What you asked for needs your password again. It holds for ten minutes.",
    )

    def act(data: dict[str, Any]) -> str:
        name = request.user.get_username()
        if not is_password_of(request, name, data["password"]):
            raise Refusal(NOT_YOUR_PASSWORD, field="password")
        note_confirmed(request)
        log_access(act=Act.CONFIRMED, person=name, now=timezone.now(), address=address_of(request))
        return onward

    return handle_form(request, ConfirmForm(request.POST or None), page, act)
