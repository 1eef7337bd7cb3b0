"""Devices that may talk to the API: each has a token that can be revoked."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST
from knox.models import AuthToken

from inventory.refusals import Refusal
from inventory.roles import ROLES, allow_roles
from shop.services.add_device import add_device


@allow_roles(*ROLES)
def devices(request: HttpRequest) -> HttpResponse:
    """Show my devices; with a name, add one and show its token this once."""
    context: dict[str, object] = {}
    if request.method == "POST":
        try:
            device, token = add_device(user=request.user, name=request.POST.get("name", ""))
            context |= {"token": token, "new": device}
        except Refusal as refusal:
            context["refusal"] = refusal
    mine = AuthToken.objects.filter(user=request.user).select_related("device")
    context["tokens"] = mine.order_by("-created")
    return render(
        request, "shop/devices.html", context, status=422 if "refusal" in context else 200
    )


@require_POST
@allow_roles(*ROLES)
def device_revoke(request: HttpRequest, token_key: str) -> HttpResponse:
    """Shut one of my devices out."""
    get_object_or_404(AuthToken, user=request.user, token_key=token_key).delete()
    return redirect("devices")
