"""The set-up sheet of a build at the desk."""

from decimal import Decimal
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone

from inventory.base.forms import SectionedForm
from inventory.base.pages import refusals_on, render_form
from inventory.base.wood_units import IMPERIAL, wood_units
from shop.builds.calc import CENTS, MEASURES, TARGETS, from_thousandths, kind_named_in
from shop.builds.forms import MOMENT, until_now
from shop.builds.pages.builds import find_build, tabs_of
from shop.builds.queries.setting_up import set_up_of
from shop.builds.services.setting_up import record_set_up
from shop.models import Measure

MM, THOUSANDTHS = "mm", "thou"
UNITS = [(MM, "mm"), (THOUSANDTHS, "thousandths of an inch")]


class SetUpForm(SectionedForm, forms.Form):
    """What was measured: empty measures are left out."""

    sections = (
        ("Neck", True, ("scale", "nut_width", "relief", "fretted_gap", "open_gap")),
        (
            "12th fret",
            True,
            ("action_treble", "action_bass", "intonation_treble", "intonation_bass"),
        ),
        (
            "Gauge and time",
            True,
            ("gauge", "strings", "humidity_percent", "taken_at", "note"),
        ),
    )

    gauge = forms.CharField(required=False, max_length=60, help_text="Measuring tool used.")
    strings = forms.CharField(required=False, max_length=80)
    humidity_percent = forms.IntegerField(
        label="Humidity (%)", required=False, min_value=0, max_value=100
    )
    taken_at = forms.DateTimeField(
        label="Time", required=False, widget=MOMENT, help_text="Leave empty for now."
    )
    note = forms.CharField(required=False, max_length=300)

    def __init__(self, *args: Any, unit: str, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.unit = unit
        for measure in MEASURES:
            field = forms.DecimalField(
                label=str(Measure(measure).label), required=False, max_digits=9, decimal_places=4
            )
            field.widget.attrs["inputmode"] = "decimal"
            field.unit = "cents" if measure in CENTS else dict(UNITS)[unit]  # type: ignore[attr-defined]
            self.fields[measure] = field

    def values(self) -> dict[str, Decimal]:
        """Return what was filled in, lengths in mm."""
        filled = {
            measure: self.cleaned_data[measure]
            for measure in MEASURES
            if self.cleaned_data[measure] is not None
        }
        if self.unit == MM:
            return filled
        return {
            measure: value if measure in CENTS else from_thousandths(value)
            for measure, value in filled.items()
        }

    def told(self) -> dict[str, Any]:
        """Return the circumstances."""
        return {
            name: self.cleaned_data[name]
            for name in ("gauge", "strings", "humidity_percent", "note")
        }


def build_setup(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the set-up of a build day by day, and write a sheet down."""
    row = find_build(pk)
    unit = _unit(request)
    kind = request.GET.get("kind", kind_named_in(f"{row.title} {row.template or ''}"))
    form = SetUpForm(request.POST or None, unit=unit)
    if form.is_valid():
        now = timezone.now()
        when = until_now(form.cleaned_data["taken_at"], now)
        with refusals_on(form):
            taken = record_set_up(
                build=row,
                values=form.values(),
                now=now,
                user=request.user,
                taken_at=when,
                **form.told(),
            )
            messages.success(request, f"{len(taken)} readings saved.")
            return redirect(request.get_full_path())
    context = {
        "build": row,
        "form": form,
        "set_up": set_up_of(row, kind=kind, in_thousandths=unit == THOUSANDTHS),
        "kind": kind,
        "kinds": list(TARGETS),
        "unit": unit,
        "units": UNITS,
        "tabs": tabs_of(row, "build_setup"),
    }
    return render_form(request, "shop/builds/build_setup.html", context)


def _unit(request: HttpRequest) -> str:
    """Return the unit asked for, else the one that this page speaks in."""
    asked = request.GET.get("unit", "")
    if asked in dict(UNITS):
        return asked
    return THOUSANDTHS if wood_units() is IMPERIAL else MM
