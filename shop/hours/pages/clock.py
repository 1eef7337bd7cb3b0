"""The clock on the desk: switch it on a stage, stop it, undo, settle a forgotten stop."""

from datetime import datetime

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.base.calc.hours import format_minutes
from inventory.base.forms import choice
from inventory.base.pages import refusals_on, render_form
from inventory.base.refusals import Refusal
from shop.hours.calc.repair import OfferedEnd
from shop.hours.queries.clock import ends_offered
from shop.hours.queries.work import Work
from shop.hours.services.clock import settle_forgotten_stop, stop_clock, switch_clock, undo_clock
from shop.models import BuildStage, TimeEntry

CHOOSE = "choose"


class EndForm(forms.Form):
    """When the work really ended."""

    end = forms.ChoiceField(label="End time", widget=forms.RadioSelect)
    at = forms.DateTimeField(
        label="Other time",
        required=False,
        widget=forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M"),
    )

    def __init__(self, *args: object, offers: list[OfferedEnd], **kwargs: object) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]
        self.ends = {offer.key: offer.at for offer in offers}
        choices = [(offer.key, offer.words) for offer in offers]
        choice(self, "end").choices = [*choices, (CHOOSE, "choose")]

    def chosen(self) -> datetime | None:
        """Return the chosen instant."""
        at: datetime | None = self.cleaned_data["at"]
        return at or self.ends.get(self.cleaned_data["end"])


@require_POST
def clock_switch(request: HttpRequest) -> HttpResponse:
    """Stop my clocks and start another, on one stage or the same stage of a whole batch."""
    keys = [key for key in request.POST.getlist("stage") if key.isdigit()]
    stages = BuildStage.objects.filter(pk__in=keys).select_related("build")
    reason = request.POST.get("reason", "")
    try:
        _, entry = switch_clock(
            person=request.user,
            now=timezone.now(),
            work=[Work(build=stage.build, stage=stage) for stage in stages],
            is_billable=not reason,
            reason=reason,
        )
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    else:
        what = ", ".join(f"{stage} {stage.build.serial}" for stage in stages) or reason
        _say_with_undo(request, f"Clock started: {what}.", entry)
    return redirect("today")


@require_POST
def clock_stop(request: HttpRequest, pk: int) -> HttpResponse:
    """Stop one clock now."""
    entry = get_object_or_404(TimeEntry, pk=pk)
    try:
        entry = stop_clock(entry=entry, now=timezone.now())
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    else:
        _say_with_undo(request, f"Stopped: {format_minutes(entry.minutes)}.", entry)
    return redirect("today")


@require_POST
def clock_undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Take back the last tap."""
    entry = get_object_or_404(TimeEntry, pk=pk)
    try:
        undo_clock(entry=entry, now=timezone.now(), user=request.user)
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    return redirect("today")


def clock_settle(request: HttpRequest, pk: int) -> HttpResponse:
    """Choose the end of a clock that nobody stopped."""
    entry = get_object_or_404(TimeEntry.objects.select_related("person"), pk=pk)
    now = timezone.now()
    form = EndForm(request.POST or None, offers=ends_offered(entry, now))
    if form.is_valid():
        with refusals_on(form):
            end = form.chosen()
            if end is None:
                raise Refusal("Enter the end time.", field="at")
            settle_forgotten_stop(entry=entry, end=end, now=now, user=request.user)
            return redirect("hours_day", entry.day)
    context = {"entry": entry, "form": form, "now": now}
    return render_form(request, "shop/hours/clock_settle.html", context)


def _say_with_undo(request: HttpRequest, text: str, entry: TimeEntry) -> None:
    messages.success(request, text, extra_tags=reverse("clock_undo", args=[entry.pk]))
