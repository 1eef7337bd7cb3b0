"""What a quote's price risks, beside the price."""

from decimal import Decimal
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from inventory.base.forms import AmountField
from inventory.base.pages import asks_for_part
from inventory.base.refusals import Refusal
from quotes.base.fields import NumberField
from quotes.models import Quote


class RiskForm(forms.Form):
    """A price to try, and what is taken for granted."""

    price = AmountField(label="Price, net", required=False)
    chance = NumberField(label="Reach target pay in", unit="% of cases", max_value=99)
    prices_move = NumberField(label="Material prices vary by", unit="%", max_value=100)
    redo_hours = NumberField(label="Extra hours for a failed piece", unit="h", max_value=99)
    redo_varies = NumberField(label="Rework hours vary by", unit="%", max_value=100)
    money_moves = NumberField(label="Exchange rate varies by", unit="%", max_value=100)


def quote_risk(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what a price risks; as a page of its own, or for htmx as a part of another."""
    quote = get_object_or_404(Quote.objects.select_related("template", "commission__client"), pk=pk)
    part = asks_for_part(request)
    template = "quotes/risk/parts/risk.html" if part else "quotes/risk/risk.html"
    context = {"quote": quote} | _worked_out(quote, request)
    context["is_one_of_several"] = quote.part_of_id is not None or len(quote.instruments) > 1
    return render(request, template, context)


def _worked_out(quote: Quote, request: HttpRequest) -> dict[str, Any]:
    # NumPy and SciPy are loaded here, when somebody asks.
    from quotes.risk.pictures import risk_picture
    from quotes.risk.queries import RiskAsked, risk_sheet

    usual = RiskAsked()
    data = {name: getattr(usual, name) for name in RiskForm.base_fields} | request.GET.dict()
    form = RiskForm(data)
    if not form.is_valid():
        wrong = [f"{form[name].label}: {errors[0]}" for name, errors in form.errors.items()]
        return {"form": form, "refusal": " ".join(wrong)}
    try:
        sheet = risk_sheet(quote, RiskAsked(**form.cleaned_data), on=timezone.localdate())
    except Refusal as refusal:
        return {"form": form, "refusal": refusal.sentence}
    picture = risk_picture(sheet.curve, sheet.risk.price, sheet.quoted)
    data["price"] = f"{sheet.risk.price.quantize(Decimal('0.01'))}"
    return {"form": RiskForm(data), "sheet": sheet, "picture": picture}
