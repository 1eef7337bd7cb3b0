"""The shop rate: worked out from a year of the workshop, and what moves it."""

from dataclasses import replace
from decimal import Decimal
from typing import Any

from django import forms
from django.contrib import messages
from django.forms import BaseFormSet, formset_factory
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.base.forms import AmountField, PercentField
from inventory.base.pages import refusals_on
from inventory.base.refusals import Refusal
from inventory.base.roles import OWNER, allow_roles
from quotes.base.calc.checks import HUNDRED
from quotes.base.fields import NumberField
from quotes.base.pages import posted
from quotes.models import Overhead, PricingPolicy, YearPlan
from quotes.shop_rate.calc import ShopYear, rate_figures, what_moves_the_rate, work_out_rate
from quotes.shop_rate.pictures import lever_picture
from quotes.shop_rate.queries import capacities, recorded_share, year_of
from quotes.shop_rate.services import plan_year, use_shop_rate

SHARES = tuple(Decimal(percent) for percent in range(40, 90, 10))
"""Billable shares at which the rate is told, in percent."""


class YearForm(forms.Form):
    """A year of the workshop."""

    weeks = NumberField(label="Weeks per year", max_value=53, decimal_places=1, unit="weeks")
    weekly_hours = NumberField(label="Hours per week", max_value=168, decimal_places=1, unit="h")
    billable_share = PercentField(
        help_text="Share of working hours that can be charged to a build."
    )
    wanted_pay = AmountField(label="Target pay per year")
    profit_margin = PercentField(max_value=90, help_text="A margin: a share of the rate.")
    rate_step = AmountField(label="Round the rate up to", help_text="0: no rounding.")


class OverheadForm(forms.Form):
    """One overhead; a row left empty is no overhead."""

    name = forms.CharField(
        max_length=120, required=False, widget=forms.TextInput(attrs={"aria-label": "Overhead"})
    )
    yearly = AmountField(
        required=False,
        widget=forms.TextInput(attrs={"inputmode": "decimal", "aria-label": "Per year"}),
    )

    def clean(self) -> dict[str, Any]:
        data = super().clean() or {}
        if data.get("yearly") and not data.get("name"):
            self.add_error("name", "Name this overhead.")
        return data


LEAST_ROWS, SPARE_ROWS = 8, 2
"""A shop has about as many overheads to begin with, and room for a few more later."""

OverheadForms = formset_factory(OverheadForm, max_num=60)


@allow_roles(OWNER)
def shop_rate(request: HttpRequest) -> HttpResponse:
    """Show the rate with its levers; keep the year, and use its rate if asked to."""
    recorded = recorded_share(timezone.localdate())
    plan = YearPlan.objects.first() or YearPlan()
    if recorded and "recorded" in request.GET:
        plan.billable_share = recorded.percent / HUNDRED
    form = YearForm(posted(request), initial=_initial(plan))
    kept = list(Overhead.objects.values("name", "yearly"))
    rows = OverheadForms(posted(request), initial=kept)
    rows.extra = max(SPARE_ROWS, LEAST_ROWS - len(kept))
    if form.is_valid() and rows.is_valid():
        with refusals_on(form):
            plan_year(overheads=_overheads(rows), **form.cleaned_data)
            _use(request)
            return redirect("shop_rate")
    context = {"form": form, "rows": rows, "recorded": recorded}
    status = 422 if form.is_bound else 200
    return render(
        request, "quotes/shop_rate/shop_rate.html", context | _worked_out(form, rows), status=status
    )


@require_POST
@allow_roles(OWNER)
def shop_rate_try(request: HttpRequest) -> HttpResponse:
    """Work the rate out from what is typed, keeping nothing."""
    form, rows = YearForm(request.POST), OverheadForms(request.POST)
    return render(request, "quotes/shop_rate/parts/shop_rate.html", _worked_out(form, rows))


def _initial(plan: YearPlan) -> dict[str, Any]:
    return {name: getattr(plan, name) for name in YearForm.base_fields}


def _overheads(rows: BaseFormSet) -> list[tuple[str, Decimal]]:
    return [
        (row["name"], row["yearly"] or Decimal(0)) for row in rows.cleaned_data if row.get("name")
    ]


def _use(request: HttpRequest) -> None:
    if request.POST.get("do") == "use":
        rate = use_shop_rate().shop_rate
        messages.success(request, f"Saved. {rate:.2f} is the shop rate of new drafts.")
    else:
        messages.success(request, "Year saved.")


def _worked_out(form: YearForm, rows: BaseFormSet) -> dict[str, Any]:
    """Everything that follows from the year as typed, or as kept; or why nothing does."""
    try:
        year = _year(form, rows)
    except Refusal as refusal:
        return {"refusal": refusal.sentence}
    if year is None:
        return {"refusal": "Fill in every figure with a number."}
    rate = work_out_rate(year)
    levers = what_moves_the_rate(year)
    policy = PricingPolicy.objects.first()
    return {
        "year": year,
        "rate": rate,
        "figures": rate_figures(year, rate),
        "levers": levers,
        "picture": lever_picture(levers, rate.with_profit),
        "shares": _at_shares(year),
        "capacities": capacities(rate.billable_hours),
        "in_use": policy.shop_rate if policy else None,
    }


def _year(form: YearForm, rows: BaseFormSet) -> ShopYear | None:
    if not form.is_bound:
        return year_of(YearPlan(**form.initial), Overhead.objects.all())
    if not form.is_valid() or not rows.is_valid():
        return None
    overheads = [Overhead(name=name, yearly=yearly) for name, yearly in _overheads(rows)]
    return year_of(YearPlan(**form.cleaned_data), overheads)


def _at_shares(year: ShopYear) -> list[tuple[Decimal, Decimal]]:
    shares = sorted({*SHARES, year.billable_percent})
    return [
        (share, work_out_rate(replace(year, billable_percent=share)).with_profit)
        for share in shares
        if 0 < share <= HUNDRED
    ]
