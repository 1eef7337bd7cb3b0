"""My own way in: my password, and the browsers in which I am signed in."""

from typing import Any

from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.contrib.auth.models import User
from django.db.models import Count
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.base.pages import FormPage, handle_form
from inventory.base.refusals import Refusal
from inventory.base.roles import ROLES, allow_roles
from shop.access.bookkeeping import is_password_of
from shop.access.forms import MyPasswordForm
from shop.access.queries import sessions_of
from shop.access.services.people import end_other_sessions, set_password
from shop.models import SecondFactor


@allow_roles(*ROLES)
def my_access(request: HttpRequest) -> HttpResponse:
    """Show where I am signed in, and whether a second factor is asked for."""
    sessions = sessions_of(request.user.pk or 0, timezone.now())
    factor = SecondFactor.objects.filter(person=request.user.pk or 0)
    context = {
        "sessions": sessions,
        "own": request.session.session_key,
        "factor": factor.annotate(codes_left=Count("recovery_codes")).first(),
    }
    return render(request, "shop/access/mine.html", context)


@allow_roles(*ROLES)
def my_password(request: HttpRequest) -> HttpResponse:
    """Give myself a new password; all my other sessions end."""
    page = FormPage(
        heading="New password",
        back=reverse("my_access"),
        lede="Other browsers where you are signed in are signed out. Phones stay connected.",
        trail=(("My access", reverse("my_access")),),
    )

    def act(data: dict[str, Any]) -> str:
        name = request.user.get_username()
        if not is_password_of(request, name, data["current"]):
            raise Refusal("This is not your current password.", field="current")
        me = User.objects.get(username=request.user.get_username())
        keep = request.session.session_key or ""
        set_password(person=me, password=data["password"], now=timezone.now(), by=name, keep=keep)
        update_session_auth_hash(request, me)
        messages.success(request, "Saved. Your other sessions have ended.")
        return reverse("my_access")

    return handle_form(request, MyPasswordForm(request.POST or None), page, act)


@require_POST
@allow_roles(*ROLES)
def my_sessions_end(request: HttpRequest) -> HttpResponse:
    """End all my sessions but this one."""
    me = User.objects.get(username=request.user.get_username())
    keep = request.session.session_key or ""
    ended = end_other_sessions(person=me, now=timezone.now(), keep=keep)
    messages.success(request, f"Other sessions ended: {ended}.")
    return redirect("my_access")
