"""Devices that may talk to the API: paired by a code or given a token, and cut off again."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.http import require_POST
from knox.models import AuthToken

from inventory.base.addresses import is_reachable, phone_address
from inventory.base.pages import render_form
from inventory.base.refusals import Refusal
from inventory.base.roles import ROLES, allow_roles
from shop.devices.calc import written
from shop.devices.services import add_device, make_pairing_code


@allow_roles(*ROLES)
def devices(request: HttpRequest) -> HttpResponse:
    """Show my devices; with a name, make a pairing code or a token and show it this once."""
    context: dict[str, Any] = {}
    if request.method == "POST":
        name = request.POST.get("name", "")
        try:
            context |= _token(request, name) if "token" in request.POST else _code(request, name)
        except Refusal as refusal:
            context["refusal"] = refusal
    mine = AuthToken.objects.filter(user=request.user).select_related("device")
    context["tokens"] = mine.order_by("-created")
    answer = render_form(request, "shop/devices/devices.html", context)
    answer["Cache-Control"] = "no-store"
    return answer


@require_POST
@allow_roles(*ROLES)
def device_revoke(request: HttpRequest, token_key: str) -> HttpResponse:
    """Shut one of my devices out."""
    get_object_or_404(AuthToken, user=request.user, token_key=token_key).delete()
    return redirect("devices")


def _token(request: HttpRequest, name: str) -> dict[str, Any]:
    device, token = add_device(user=request.user, name=name)
    return {"token": token, "new": device}


def _code(request: HttpRequest, name: str) -> dict[str, Any]:
    row, code = make_pairing_code(user=request.user, name=name, now=timezone.now())
    address = phone_address(request, reverse("bench"))
    return {
        "pairing": row,
        "code": written(code),
        "address": address,
        "drawing": _drawn(f"{address}#pair={written(code)}"),
        "is_reachable": is_reachable(request),
    }


def _drawn(text: str) -> SafeString:
    """Draw `text` as a square to point a camera at, black on white in every theme."""
    import segno

    code = segno.make(text, error="m", micro=False)
    drawn: str = code.svg_inline(scale=5, border=4, light="#fff", svgclass=None, lineclass=None)
    return mark_safe(drawn)
