"""Devices that may talk to the API: paired by a code or given a token, and cut off again."""

from typing import Any

from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST
from knox.models import AuthToken

from inventory.base.addresses import is_reachable, phone_address
from inventory.base.pages import render_form
from inventory.base.refusals import Refusal
from inventory.base.roles import OWNER, ROLES, allow_roles, role_of
from shop.access.pages.doors import is_confirmed
from shop.base.calc import written
from shop.base.pictures.codes import drawn_code
from shop.devices.services import add_device, make_pairing_code, revoke_token
from shop.models import Device


@allow_roles(*ROLES)
def devices(request: HttpRequest) -> HttpResponse:
    """Show my devices, an owner all; with a name, make a code or a token and show it once."""
    context: dict[str, Any] = {}
    if request.method == "POST":
        name = request.POST.get("name", "")
        try:
            context |= _token(request, name) if "token" in request.POST else _code(request, name)
        except Refusal as refusal:
            context["refusal"] = refusal
    context["tokens"] = _tokens_for(request).order_by("-created")
    context["is_owner"] = role_of(request.user) == OWNER
    answer = render_form(request, "shop/devices/devices.html", context)
    answer["Cache-Control"] = "no-store"
    return answer


@require_POST
@allow_roles(*ROLES)
def device_revoke(request: HttpRequest, token_key: str) -> HttpResponse:
    """Shut out one of my devices; an owner, anybody's."""
    token = get_object_or_404(_tokens_for(request), token_key=token_key)
    revoke_token(token=token, now=timezone.now(), by=request.user.get_username())
    return redirect("devices")


def _tokens_for(request: HttpRequest) -> QuerySet[AuthToken]:
    tokens: QuerySet[AuthToken] = AuthToken.objects.select_related("device", "user")
    return tokens if role_of(request.user) == OWNER else tokens.filter(user=request.user)


def _token(request: HttpRequest, name: str) -> dict[str, Any]:
    rights = Device.Rights.ALL if request.POST["token"] == "all" else Device.Rights.BENCH
    if rights == Device.Rights.ALL and not is_confirmed(request):
        raise Refusal("A token with all your rights needs your password again.", field="confirm")
    now = timezone.now()
    device, token = add_device(user=request.user, name=name, now=now, rights=rights)
    return {"token": token, "new": device}


def _code(request: HttpRequest, name: str) -> dict[str, Any]:
    row, code = make_pairing_code(user=request.user, name=name, now=timezone.now())
    address = phone_address(request, reverse("bench"))
    return {
        "pairing": row,
        "code": written(code),
        "address": address,
        "drawing": drawn_code(f"{address}#pair={written(code)}"),
        "is_reachable": is_reachable(request),
    }
