"""What the queue takes for granted: hands, things there is a number of, shares; the calendar."""

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.base.addresses import outside_address
from inventory.base.pages import render_form
from inventory.base.roles import OWNER, allow_roles
from shop.models import CalendarLink, OtherHands, ShopThing, StageWindow, ThingUse
from shop.queue.forms import OtherHandsForm, QueueSettingsForm, ThingForm, ThingUseForm, WindowForm
from shop.queue.queries.shop_now import settings_now, shared_doubts
from shop.queue.services import make_calendar_link, revoke_calendar_link


@allow_roles(OWNER)
def queue_settings(request: HttpRequest) -> HttpResponse:
    """Show and change what the queue takes for granted."""
    form = QueueSettingsForm(request.POST or None, instance=settings_now())
    if form.is_valid():
        form.save()
        return redirect("queue_settings")
    context = {
        "form": form,
        "shared": shared_doubts(timezone.localdate()),
        "things": ShopThing.objects.prefetch_related("uses__stage__template", "uses__until"),
        "hands": OtherHands.objects.all(),
        "windows": StageWindow.objects.select_related("stage__template"),
        "link": CalendarLink.objects.filter(revoked_at=None).first(),
    }
    return render_form(request, "shop/queue/settings.html", context)


@allow_roles(OWNER)
def thing_new(request: HttpRequest) -> HttpResponse:
    """Add a thing there is a number of."""
    return _edit(request, ThingForm(request.POST or None), "New thing")


@allow_roles(OWNER)
def thing(request: HttpRequest, pk: int) -> HttpResponse:
    """Edit a thing."""
    row = get_object_or_404(ShopThing, pk=pk)
    return _edit(request, ThingForm(request.POST or None, instance=row), f"Edit {row}")


@allow_roles(OWNER)
def thing_use(request: HttpRequest, pk: int) -> HttpResponse:
    """Say which stage takes a thing, and which one gives it back."""
    row = get_object_or_404(ShopThing, pk=pk)
    return _edit(request, ThingUseForm(request.POST or None, thing=row), f"Who takes {row}")


@require_POST
@allow_roles(OWNER)
def thing_use_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a use out."""
    get_object_or_404(ThingUse, pk=pk).delete()
    return redirect("queue_settings")


@require_POST
@allow_roles(OWNER)
def thing_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete a thing with its uses."""
    get_object_or_404(ShopThing, pk=pk).delete()
    return redirect("queue_settings")


@allow_roles(OWNER)
def window_new(request: HttpRequest) -> HttpResponse:
    """Say within how many days after a stage the next one has to begin."""
    return _edit(request, WindowForm(request.POST or None), "The next stage soon after")


@require_POST
@allow_roles(OWNER)
def window_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a window out."""
    get_object_or_404(StageWindow, pk=pk).delete()
    return redirect("queue_settings")


@allow_roles(OWNER)
def hands_new(request: HttpRequest) -> HttpResponse:
    """Add somebody who works beside the maker."""
    return _edit(request, OtherHandsForm(request.POST or None), "Other hands")


@require_POST
@allow_roles(OWNER)
def hands_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Delete somebody's week."""
    get_object_or_404(OtherHands, pk=pk).delete()
    return redirect("queue_settings")


@require_POST
@allow_roles(OWNER)
def calendar_link_new(request: HttpRequest) -> HttpResponse:
    """Make a secret address for calendars; it is shown once."""
    secret = make_calendar_link(now=timezone.now())
    address = outside_address(request, reverse("queue_calendar", args=[secret]))
    messages.success(request, f"Shown only now: {address}")
    return redirect("queue_settings")


@require_POST
@allow_roles(OWNER)
def calendar_link_revoke(request: HttpRequest) -> HttpResponse:
    """Close the calendar's address."""
    revoke_calendar_link(now=timezone.now())
    return redirect("queue_settings")


def _edit(request: HttpRequest, form: forms.ModelForm, title: str) -> HttpResponse:
    if form.is_valid():
        form.save()
        return redirect("queue_settings")
    context = {"form": form, "title": title}
    return render_form(request, "shop/queue/settings_form.html", context)
