"""Signing in: name and password, then the code of whoever has a second factor."""

from datetime import timedelta
from typing import Any

from axes.handlers.proxy import AxesProxyHandler
from axes.helpers import get_lockout_response
from django.contrib.auth import login
from django.contrib.auth.decorators import login_not_required
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.models import User
from django.contrib.auth.views import LoginView
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.crypto import constant_time_compare

from inventory.base.pages import FormPage, handle_form
from inventory.base.roles import ROLES, allow_roles
from shop.access.forms import CodeForm
from shop.access.pages.doors import take_typed_code
from shop.access.queries import has_second_factor

WAITS = "waits_for_code"
"""Where a session keeps who typed the right password and not yet the code."""

WAITS_FOR = timedelta(minutes=5)


class SignInView(LoginView):
    """Ask for name and password; whoever has a second factor goes on to the code."""

    def form_valid(self, form: AuthenticationForm) -> HttpResponse:
        person: Any = form.get_user()
        if not has_second_factor(person.pk):
            return super().form_valid(form)
        self.request.session.cycle_key()
        self.request.session[WAITS] = {
            "person": person.pk,
            "password": person.get_session_auth_hash(),
            "at": timezone.now().timestamp(),
            "next": self.get_success_url(),
            "backend": person.backend,
        }
        return redirect("sign_in_code")


@login_not_required
@allow_roles(*ROLES, "")
def sign_in_code(request: HttpRequest) -> HttpResponse:
    """Ask for a code and sign in. Wrong codes count towards the lock as wrong passwords do."""
    waits: dict[str, Any] = request.session.get(WAITS, {})
    person = _who_waits(waits)
    if person is None:
        return redirect("login")
    name = {"username": person.get_username()}
    if request.method == "POST" and not AxesProxyHandler.is_allowed(request, name):
        locked: HttpResponse = get_lockout_response(request, credentials=name)
        return locked
    page = FormPage(heading="Code from your app", do="Sign in", back=reverse("login"))

    def act(data: dict[str, Any]) -> str:
        take_typed_code(request, person, data["code"])
        login(request, person, backend=waits["backend"])
        request.session.pop(WAITS, None)
        return str(waits["next"])

    form = CodeForm(request.POST or None)
    return handle_form(request, form, page, act, template="registration/code.html")


def _who_waits(waits: dict[str, Any]) -> User | None:
    if not 0 <= timezone.now().timestamp() - waits.get("at", 0.0) < WAITS_FOR.total_seconds():
        return None
    person = User.objects.filter(pk=waits["person"], is_active=True).first()
    is_same = person and constant_time_compare(person.get_session_auth_hash(), waits["password"])
    return person if is_same else None
