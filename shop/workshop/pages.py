"""The workshop's own page: whose shop it is, its week, its people and its days off."""

from typing import Any

from django import forms
from django.contrib import messages
from django.contrib.auth.models import User
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from inventory.base.calc.official_numbers import check_tax_number
from inventory.base.calc.public_address import read_public_address
from inventory.base.pages import refusals_on, render_form
from inventory.base.refusals import Refusal
from inventory.base.roles import OWNER, ROLE_WORDS, ROLES, allow_roles, role_of
from inventory.models import Workshop
from shop.access.queries import role_in
from shop.base.choices import countries, currencies, time_zones
from shop.base.forms import show_plainly
from shop.models import DayOff, Preference, WorkingWeek
from shop.workshop.calc import check_days_off
from shop.workshop.queries import units_of, working_week
from shop.workshop.services import choose_units


class WorkshopForm(forms.ModelForm):
    """Whose shop it is."""

    country = forms.ChoiceField(choices=lambda: [("", "–"), *countries()], required=False)
    currency = forms.ChoiceField(choices=currencies)
    time_zone = forms.ChoiceField(choices=time_zones)

    class Meta:
        model = Workshop
        fields = [
            "name",
            "maker",
            "address",
            "email",
            "phone",
            "public_address",
            "country",
            "time_zone",
            "currency",
            "units",
            "tax_registered",
            "tax_number",
        ]
        widgets = {"address": forms.Textarea(attrs={"rows": 3})}

    def clean_public_address(self) -> str:
        try:
            return read_public_address(self.cleaned_data["public_address"])
        except Refusal as refusal:
            raise forms.ValidationError(refusal.sentence) from None

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("tax_number"):
            with refusals_on(self):
                check_tax_number(data["tax_number"], data.get("country", ""))
        return data


class WeekForm(forms.ModelForm):
    """Hands-on hours of each weekday."""

    class Meta:
        model = WorkingWeek
        exclude: list[str] = []
        widgets = {"day_ends_at": forms.TimeInput(attrs={"type": "time"}, format="%H:%M")}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        show_plainly(self)
        for name in list(self.fields)[:7]:
            self.fields[name].unit = "h"  # type: ignore[attr-defined]


class DayOffForm(forms.ModelForm):
    """A stretch of days on which nobody works."""

    class Meta:
        model = DayOff
        fields = ["first", "last", "reason"]
        widgets = {
            "first": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
            "last": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        }

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        with refusals_on(self):
            check_days_off(data.get("first"), data.get("last"))
        return data


@allow_roles(OWNER)
def workshop(request: HttpRequest) -> HttpResponse:
    """Show the workshop with its week, people and days off."""
    people = User.objects.filter(is_active=True).prefetch_related("groups")
    return render(
        request,
        "shop/workshop/workshop.html",
        {
            "week": working_week(),
            "people": [(person, ROLE_WORDS.get(role_in(person), "")) for person in people],
            "is_owner": role_of(request.user) == OWNER,
            "days_off": DayOff.objects.all(),
            "my_units": next(iter(units_of(request.user.pk)), ("",))[0],
            "unit_choices": Preference._meta.get_field("units").choices,
        },
    )


@require_POST
@allow_roles(*ROLES)
def my_units(request: HttpRequest) -> HttpResponse:
    """Choose the units that I see."""
    try:
        choose_units(person=request.user, units=request.POST.get("units", ""))
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    else:
        messages.success(request, "Saved.")
    return redirect("workshop")


@allow_roles(OWNER)
def workshop_edit(request: HttpRequest) -> HttpResponse:
    """Change whose shop it is."""
    form = WorkshopForm(request.POST or None, instance=Workshop.objects.get())
    return _edit(request, form, "Workshop details")


@allow_roles(OWNER)
def week_edit(request: HttpRequest) -> HttpResponse:
    """Change the working week."""
    row = working_week()
    return _edit(request, WeekForm(request.POST or None, instance=row), "Working week")


@allow_roles(OWNER)
def day_off_add(request: HttpRequest) -> HttpResponse:
    """Add days on which nobody works."""
    return _edit(request, DayOffForm(request.POST or None), "New days off")


@require_POST
@allow_roles(OWNER)
def day_off_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take days off back."""
    get_object_or_404(DayOff, pk=pk).delete()
    return redirect("workshop")


def _edit(request: HttpRequest, form: forms.ModelForm, title: str) -> HttpResponse:
    if form.is_valid():
        form.save()
        messages.success(request, "Saved.")
        return redirect("workshop")
    return _form_page(request, form, title)


def _form_page(request: HttpRequest, form: forms.BaseForm, title: str) -> HttpResponse:
    context = {"form": form, "title": title}
    return render_form(request, "shop/workshop/workshop_form.html", context)
