"""The rows of a draft and what may fail in them, edited where they stand."""

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from inventory.base.forms import TypedDecimalField, model_choice
from inventory.base.pages import asks_for_part, refusals_on, render_form
from inventory.base.refusals import Refusal
from quotes.base.fields import NumberField
from quotes.base.pages import part_of_quote, posted
from quotes.models import Quote, QuoteExtra, QuoteFailure, QuoteMaterial, QuoteStage
from quotes.pricing.pages import with_rates
from quotes.quoting.bookkeeping import row_unsealed, sealed_row
from quotes.quoting.forms.quotes import ExtraForm, QuoteMaterialForm, QuoteStageForm
from quotes.quoting.pages.pieces import pieces_of_row
from quotes.quoting.pages.quote import show_quote
from quotes.quoting.services.rows import (
    add_row,
    edit_rows,
    remove_row,
    restore_row,
    set_failure_risk,
)

ADD = {"stage": "Add a stage", "material": "Add a material", "extra": "Add a line"}
FORMS: dict[str, Any] = {"stage": QuoteStageForm, "material": QuoteMaterialForm, "extra": ExtraForm}
MODELS: dict[str, Any] = {
    "stage": QuoteStage,
    "material": QuoteMaterial,
    "extra": QuoteExtra,
    "failure": QuoteFailure,
}


@require_POST
def quote_rows(request: HttpRequest, pk: int) -> HttpResponse:
    """Write the hours and quantities that were typed into the tables of a draft."""
    row = get_object_or_404(Quote, pk=pk)
    try:
        edit_rows(
            quote=row,
            stages=_typed(request, "hours", row.stages.all()),
            materials=_typed(request, "quantity", row.materials.all()),
        )
    except Refusal as refusal:
        return show_quote(request, pk, refusal.sentence)
    return show_quote(request, pk) if asks_for_part(request) else part_of_quote(pk, "hours")


PARTS = {"stage": "hours", "failure": "hours", "material": "parts", "extra": "parts"}
"""The part of a quote's page on which a kind of row stands."""


def _typed(
    request: HttpRequest, field: str, rows: Iterable[QuoteStage | QuoteMaterial]
) -> dict[int, dict[str, Decimal]]:
    """Return what differs from the rows: `hours-12` in the form is the field of row 12."""
    changes = {}
    for row in rows:
        text = request.POST.get(f"{field}-{row.pk}", "").strip()
        if text and (value := _number(text, row.name)) != getattr(row, field):
            changes[row.pk] = {field: value}
    return changes


def _number(text: str, name: str) -> Decimal:
    try:
        return TypedDecimalField(min_value=0, max_value=999999, decimal_places=3).clean(text)  # type: ignore[no-any-return]
    except forms.ValidationError as error:
        raise Refusal(f"{name}: “{text}” is not valid. {error.messages[0]}") from error


def quote_add(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    """Add a stage, a material or an own line to a draft."""
    row = get_object_or_404(Quote, pk=pk)
    form = with_rates(FORMS[kind](posted(request)))
    if form.is_valid():
        with refusals_on(form):
            add_row(quote=row, of=kind, **_given(form))
            return part_of_quote(pk, PARTS[kind])
    context = {"form": form, "quote": row, "kind": kind, "heading": ADD[kind]}
    return render_form(request, "quotes/quoting/quote_row.html", context)


def quote_row(request: HttpRequest, pk: int, kind: str, row_pk: int) -> HttpResponse:
    """Change a stage, a material or an own line of a draft in all its particulars."""
    row = get_object_or_404(MODELS[kind].objects.select_related("quote"), pk=row_pk, quote=pk)
    form = with_rates(FORMS[kind](posted(request), instance=row))
    if form.is_valid():
        with refusals_on(form):
            changes = {row_pk: _given(form)}
            edit_rows(quote=row.quote, **{f"{kind}s": changes})
            return part_of_quote(pk, PARTS[kind])
    context = {"form": form, "quote": row.quote, "kind": kind, "row": row}
    if kind == "material":
        context |= pieces_of_row(request, row)
    return render_form(request, "quotes/quoting/quote_row.html", context)


def _given(form: forms.BaseForm) -> dict[str, Any]:
    """Return what was filled in; an empty figure of a stage or an own line is 0."""
    optional = {"markup", "hours_low", "hours_high", "waiting_days"}
    keeps_empty = isinstance(form, QuoteMaterialForm)
    return {
        name: Decimal(0) if value is None and name in optional and not keeps_empty else value
        for name, value in form.cleaned_data.items()
    }


@require_POST
def quote_row_remove(request: HttpRequest, pk: int, kind: str, row_pk: int) -> HttpResponse:
    """Take a row out of a draft."""
    row = get_object_or_404(MODELS[kind].objects.select_related("quote"), pk=row_pk, quote=pk)
    sealed = sealed_row(row)
    try:
        remove_row(row=row)
    except Refusal as refusal:
        return show_quote(request, pk, refusal.sentence)
    undo = reverse("quote_row_put_back", args=[pk, sealed])
    messages.success(request, f"{row} is deleted.", extra_tags=undo)
    return part_of_quote(pk, PARTS[kind])


@require_POST
def quote_row_put_back(request: HttpRequest, pk: int, sealed: str) -> HttpResponse:
    """Put a row back that was just taken out."""
    quote = get_object_or_404(Quote, pk=pk)
    try:
        restore_row(quote=quote, taken=row_unsealed(sealed))
    except Refusal as refusal:
        return show_quote(request, pk, refusal.sentence)
    return redirect("quote", pk)


class QuoteFailureForm(forms.ModelForm):
    """One thing that may go wrong: how often, what is redone, what is lost."""

    hours = NumberField(
        label="Extra hours when it happens",
        unit="h",
        required=False,
        decimal_places=2,
        max_value=9999,
        help_text="Empty: all hours from the stage below to the one where it shows.",
    )

    class Meta:
        model = QuoteFailure
        fields = ("name", "stage", "one_in", "hours", "redo_from", "lost")
        labels = {
            "name": "What goes wrong",
            "stage": "Stage",
            "one_in": "One build in",
            "redo_from": "Redone from stage",
            "lost": "Material lost each time",
        }
        help_texts = {
            "one_in": "20 means one build in 20.",
            "lost": "One of each is replaced. What the line’s reject rate covers is not counted "
            "twice.",
        }
        widgets = {"lost": forms.CheckboxSelectMultiple}

    def __init__(self, *args: Any, quote: Quote, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        names = ("stage", "redo_from", "lost")
        stage, redo_from, lost = (model_choice(self, name) for name in names)
        stage.queryset = redo_from.queryset = quote.stages.all()
        redo_from.empty_label = "that stage only"
        lost.queryset = quote.materials.all()


def quote_failure_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Say what else may go wrong."""
    return _page(request, get_object_or_404(Quote, pk=pk), None)


def quote_failure(request: HttpRequest, pk: int, failure_pk: int) -> HttpResponse:
    """Change what may go wrong."""
    rows = QuoteFailure.objects.select_related("quote")
    failure = get_object_or_404(rows, pk=failure_pk, quote=pk)
    return _page(request, failure.quote, failure)


def _page(request: HttpRequest, quote: Quote, failure: QuoteFailure | None) -> HttpResponse:
    form = QuoteFailureForm(posted(request), instance=failure, quote=quote)
    if form.is_valid():
        with refusals_on(form):
            set_failure_risk(quote=quote, failure=failure, **form.cleaned_data)
            return part_of_quote(quote.pk, "hours")
    context = {"form": form, "quote": quote, "kind": "failure", "row": failure}
    context |= {"heading": "Add a risk"}
    return render_form(request, "quotes/quoting/quote_row.html", context)
