"""The close-out of a build."""

from datetime import date
from typing import Any

from django import forms
from django.contrib import messages
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.base.forms import AmountField, model_choice
from inventory.base.pages import refusals_on, render_form
from inventory.base.refusals import Refusal
from quotes.base.calc.snapshot import from_data
from quotes.base.fields import day_field
from quotes.closing.calc.sheet import CloseOutSheet, MoneyIn
from quotes.closing.documents import certificate_paper
from quotes.closing.queries.close_out import close_out_sheet
from quotes.closing.queries.late_costs import late_lines
from quotes.closing.queries.materials import lines_without_cost
from quotes.closing.queries.order import order_outcome
from quotes.closing.services import close_out as close_out_build
from quotes.closing.services import correct_close_out, record_expense, remove_expense
from quotes.models import CloseOut, Expense, Payment, Quote
from quotes.papers.documents.printing import print_paper
from shop.base.pictures.shapes import Picture
from shop.estimates.pictures.planned_actual import StagePair, planned_actual
from shop.models import Build, BuildLine

PAID_BESIDE = (Expense.Kind.OUTSIDE, Expense.Kind.SHIPPING)


class CloseOutForm(forms.Form):
    """A word to oneself, shown when the next quote of this template opens."""

    charge_next_time = AmountField(
        label="Charge next time, net", required=False, help_text="Without shipping and tax."
    )
    decline_under = AmountField(
        label="Decline below, net", required=False, help_text="Below this, other work earns more."
    )
    note_to_self = forms.CharField(
        max_length=300, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )


class ExpenseForm(forms.Form):
    """What outside work or shipping really cost."""

    kind = forms.ChoiceField(label="Kind", choices=Expense.Kind.choices)
    about = forms.CharField(label="Description", max_length=120, required=False)
    amount = AmountField(
        label="Cost", help_text="In the workshop’s currency, without tax you reclaim."
    )
    paid_on = day_field(label="Paid on")


class LineCostForm(forms.Form):
    """What a line cost that was not drawn from stock."""

    line = forms.ModelChoiceField(BuildLine.objects.none(), empty_label=None)
    line_cost = AmountField(
        label="Cost", help_text="In workshop currency; 0 if nothing was used. Not from stock."
    )

    def __init__(self, *args: Any, lines: QuerySet[BuildLine], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        model_choice(self, "line").queryset = lines


def close_out(request: HttpRequest, pk: int) -> HttpResponse:
    """Show quoted against actual; once closed, as it was then."""
    build = get_object_or_404(Build.objects.select_related("template"), pk=pk)
    kept = CloseOut.objects.filter(build=build).first()
    on = timezone.localdate()
    sheet = from_data(CloseOutSheet, kept.figures) if kept else close_out_sheet(build, on)
    quote = Quote.objects.filter(build=build).select_related("part_of").first()
    form = CloseOutForm(_sent(request, "charge_next_time"), initial=_initial(sheet, kept))
    expense = ExpenseForm(_sent(request, "kind"), initial={"paid_on": on})
    lines = lines_without_cost(build)
    line_cost = LineCostForm(_sent(request, "line_cost"), lines=lines)
    if _noted(expense, build) or _priced(line_cost, build, on):
        return redirect("close_out", pk)
    if form.is_valid():
        with refusals_on(form):
            close_out_build(build=build, on=on, now=timezone.now(), **form.cleaned_data)
            return redirect("close_out", pk)
    context = {
        "build": build,
        "kept": kept,
        "late": late_lines(kept) if kept else (),
        "sheet": sheet,
        "quote": quote,
        "order": _order_of(quote),
        "form": form,
        "expense": expense,
        "line_cost": line_cost,
        "lines": lines,
        "expenses": build.expenses.all(),
        "receipts": _receipts(sheet),
        "picture": _picture(sheet),
    }
    return render_form(request, "quotes/closing/close_out.html", context)


def _sent(request: HttpRequest, field: str) -> QueryDict | None:
    """What was sent, for the form of the page that has this field."""
    return request.POST if field in request.POST else None


def _noted(form: ExpenseForm, build: Build) -> bool:
    """Say whether an expense was sent and is noted now."""
    if not form.is_valid():
        return False
    with refusals_on(form):
        record_expense(build=build, **form.cleaned_data)
        return True
    return False


def _priced(form: LineCostForm, build: Build, on: date) -> bool:
    """Say whether the cost of a line was sent and is recorded now."""
    if not form.is_valid():
        return False
    record_expense(
        build=build,
        kind=Expense.Kind.MATERIAL,
        line=form.cleaned_data["line"],
        amount=form.cleaned_data["line_cost"],
        paid_on=on,
        on=on,
    )
    return True


def order_close_out(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the builds of an order added up: price, costs, hours, what an hour earned."""
    quote = get_object_or_404(Quote.objects.select_related("part_of"), pk=pk)
    order = quote.part_of or quote
    try:
        outcome = order_outcome(order, timezone.localdate())
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
        return redirect("quote", order.pk)
    builds = [one.build_id for one in order.instruments if one.build_id]
    context = {
        "order": order,
        "outcome": outcome,
        "rows": list(zip(outcome.rows, builds, strict=True)),
    }
    return render(request, "quotes/closing/order_close_out.html", context)


@require_POST
def correct(request: HttpRequest, pk: int) -> HttpResponse:
    """Take what was drawn or priced since into a close-out that lacked it."""
    build = get_object_or_404(Build, pk=pk)
    try:
        correct_close_out(build=build, on=timezone.localdate())
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    return redirect("close_out", pk)


@require_POST
def expense_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Remove an expense that was noted by mistake."""
    expense = get_object_or_404(Expense, pk=pk)
    remove_expense(expense=expense)
    return redirect("close_out", expense.build_id)


def _order_of(quote: Quote | None) -> Quote | None:
    """Return the order of several instruments that a quote belongs to, if it does."""
    if quote is None:
        return None
    return quote.part_of or (quote if quote.further.exists() else None)


def _receipts(sheet: CloseOutSheet) -> list[tuple[MoneyIn, int | None]]:
    """Return what came in, each with the key of its receipt."""
    rows = sheet.money.receipts if sheet.money else ()
    numbers = [row.number for row in rows]
    keys = dict(Payment.objects.filter(number__in=numbers).values_list("number", "pk"))
    return [(row, keys.get(row.number)) for row in rows]


def _picture(sheet: CloseOutSheet) -> Picture | None:
    pairs = [
        StagePair(name=stage.name, quoted=float(stage.quoted), actual=float(stage.actual))
        for stage in sheet.stages
        if stage.quoted or stage.actual
    ]
    return planned_actual(pairs) if pairs else None


def _initial(sheet: CloseOutSheet, kept: CloseOut | None) -> dict[str, object]:
    if kept:
        names = ("charge_next_time", "decline_under", "note_to_self")
        return {name: getattr(kept, name) for name in names}
    if sheet.charge_next is None:
        return {}
    return {"charge_next_time": sheet.charge_next.price, "decline_under": sheet.charge_next.least}


def certificate(request: HttpRequest, pk: int) -> HttpResponse:
    """Print the certificate of an instrument; one that is not finished has none yet."""
    build = get_object_or_404(Build, pk=pk)
    if build.finished_on is None:
        messages.error(request, f"{build.serial} is not finished, so it has no certificate yet.")
        return redirect("close_out", pk)
    printed = print_paper(
        "quotes/papers/certificate.html", certificate_paper(build), made_on=f"{build.finished_on}"
    )
    return HttpResponse(printed, content_type="application/pdf")
