"""My second factor: turned on with an app, its recovery codes, turned off."""

from typing import Any

import pyotp
from django.contrib import messages
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone

from inventory.base.pages import FormPage, handle_form, refusals_on, render_form
from inventory.base.roles import ROLES, allow_roles
from inventory.models import Workshop
from shop.access.forms import CodeForm, NewFactorForm
from shop.access.pages.doors import asks_password_again, take_typed_code
from shop.access.queries import has_second_factor
from shop.access.services.second_factor import (
    renew_recovery_codes,
    turn_off_second_factor,
    turn_on_second_factor,
)
from shop.base.calc import written
from shop.base.pictures.codes import drawn_code

SECRET = "new_second_factor"
"""Where a session keeps the secret that is shown until a code of the app shows that it has it."""


@allow_roles(*ROLES)
@asks_password_again
def my_second_factor(request: HttpRequest) -> HttpResponse:
    """Show the secret to an app, and turn the second factor on with a code of it."""
    me = _me(request)
    if has_second_factor(me.pk):
        return redirect("my_access")
    secret = request.session.setdefault(SECRET, pyotp.random_base32())
    form = NewFactorForm(request.POST or None)
    if form.is_valid():
        with refusals_on(form):
            code = form.cleaned_data["code"]
            codes = turn_on_second_factor(person=me, secret=secret, code=code, now=timezone.now())
            del request.session[SECRET]
            return _shown_once(request, codes)
    workshop = Workshop.objects.values_list("name", flat=True).first()
    address = pyotp.TOTP(secret).provisioning_uri(name=me.get_username(), issuer_name=workshop)
    context = {
        "form": form,
        "drawing": drawn_code(address),
        "secret": written(secret, between=" "),  # a hyphen is no letter of base32
        "trail": _trail(),
    }
    answer = render_form(request, "shop/access/second_factor.html", context)
    answer["Cache-Control"] = "no-store"
    return answer


@allow_roles(*ROLES)
@asks_password_again
def my_second_factor_off(request: HttpRequest) -> HttpResponse:
    """Say what turning it off means, and turn it off with a last code."""
    me = _me(request)
    if not has_second_factor(me.pk):
        return redirect("my_access")
    lede = "Your password alone then signs you in. Your recovery codes are void."
    page = _page("Turn off second factor", "Stop asking for a code", lede)

    def act(data: dict[str, Any]) -> str:
        take_typed_code(request, me, data["code"])
        turn_off_second_factor(person=me, now=timezone.now())
        messages.success(request, "The second factor is off.")
        return reverse("my_access")

    return handle_form(request, CodeForm(request.POST or None), page, act)


@allow_roles(*ROLES)
@asks_password_again
def my_recovery_codes(request: HttpRequest) -> HttpResponse:
    """Say that earlier recovery codes are void, make new ones for a code and show them once."""
    me = _me(request)
    if not has_second_factor(me.pk):
        return redirect("my_access")
    form = CodeForm(request.POST or None)
    if form.is_valid():
        with refusals_on(form):
            take_typed_code(request, me, form.cleaned_data["code"])
            return _shown_once(request, renew_recovery_codes(person=me, now=timezone.now()))
    page = _page("New recovery codes", "Make new codes", "The codes that you have are then void.")
    context = {"form": form, "form_page": page, "trail": page.trail}
    return render_form(request, "inventory/ask.html", context)


def _page(heading: str, do: str, lede: str) -> FormPage:
    return FormPage(heading=heading, do=do, lede=lede, back=reverse("my_access"), trail=_trail())


def _trail() -> tuple[tuple[str, str], ...]:
    return (("My access", reverse("my_access")),)


def _shown_once(request: HttpRequest, codes: list[str]) -> HttpResponse:
    context = {"codes": [written(code) for code in codes], "trail": _trail()}
    answer = render(request, "shop/access/recovery_codes.html", context)
    answer["Cache-Control"] = "no-store"
    return answer


def _me(request: HttpRequest) -> User:
    return User.objects.get(username=request.user.get_username())
