"""Days lost on a build: noted while it is made, and put right."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.base.pages import refusals_on, render_form
from shop.builds.pages.builds import find_build, tabs_of
from shop.builds.queries.lost_days import lost_days_of, reasons_for_lost_days
from shop.builds.services.edit import record_lost_days, remove_lost_days
from shop.models import LostDays


class LostDaysForm(forms.Form):
    """How many days, and to what they were lost."""

    days = forms.IntegerField(label="Days lost", min_value=1, max_value=999)
    reason = forms.CharField(
        label="Reason",
        max_length=60,
        widget=forms.TextInput(attrs={"list": "lost-to"}),
        help_text="Choose from the list, or type a new reason.",
    )
    note = forms.CharField(max_length=200, required=False)


def lost_days(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the days that a build lost and what its promise was, and note more."""
    build = find_build(pk)
    form = LostDaysForm(request.POST or None)
    if form.is_valid():
        with refusals_on(form):
            record_lost_days(build=build, on=timezone.localdate(), **form.cleaned_data)
            return redirect("lost_days", pk)
    context: dict[str, Any] = {
        "build": build,
        "form": form,
        "rows": build.lost_days.all(),
        "sums": lost_days_of(build),
        "reasons": reasons_for_lost_days(),
        "tabs": tabs_of(build, "lost_days"),
    }
    return render_form(request, "shop/builds/lost_days.html", context)


@require_POST
def lost_days_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Remove a note that was made by mistake."""
    lost = get_object_or_404(LostDays, pk=pk)
    remove_lost_days(lost=lost)
    messages.success(request, f"{lost.days} days of “{lost.reason}” deleted.")
    return redirect("lost_days", lost.build_id)
