"""The rows of a draft, changed where they stand."""

from collections.abc import Iterable
from decimal import Decimal
from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from inventory.forms.fields import TypedDecimalField
from inventory.refusals import Refusal
from quotes.models import (
    Quote,
    QuoteExtra,
    QuoteFailure,
    QuoteMaterial,
    QuoteStage,
)
from quotes.pages.asking import posted
from quotes.pages.forms import ExtraForm, MaterialForm, StageForm
from quotes.pages.pieces import pieces_of_row
from quotes.pages.quote import show_quote
from quotes.pages.tax_hints import with_rates
from quotes.services.add_row import add_row
from quotes.services.change_rows import change_rows
from quotes.services.put_back_row import put_back_row
from quotes.services.remove_row import remove_row
from quotes.taken_rows import seal, unseal
from shop.pages.telling import add_refusal

ADD = {"stage": "Add a stage", "material": "Add a material", "extra": "Add a line"}
FORMS: dict[str, Any] = {"stage": StageForm, "material": MaterialForm, "extra": ExtraForm}
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
        change_rows(
            quote=row,
            stages=_typed(request, "hours", row.stages.all()),
            materials=_typed(request, "quantity", row.materials.all()),
        )
    except Refusal as refusal:
        return show_quote(request, pk, refusal.sentence)
    return show_quote(request, pk) if request.htmx else redirect("quote", pk)  # type: ignore[attr-defined]


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
        raise Refusal(f"{name}: “{text}” won't do. {error.messages[0]}") from error


def quote_add(request: HttpRequest, pk: int, kind: str) -> HttpResponse:
    """Add a stage, a material or an own line to a draft."""
    row = get_object_or_404(Quote, pk=pk)
    form = with_rates(FORMS[kind](posted(request)))
    if form.is_valid():
        try:
            add_row(quote=row, of=kind, **_given(form))
            return redirect("quote", pk)
        except Refusal as refusal:
            add_refusal(form, refusal)
    context = {"form": form, "quote": row, "kind": kind, "heading": ADD[kind]}
    return render(request, "quotes/quote_row.html", context, status=422 if form.errors else 200)


def quote_row(request: HttpRequest, pk: int, kind: str, row_pk: int) -> HttpResponse:
    """Change a stage, a material or an own line of a draft in all its particulars."""
    row = get_object_or_404(MODELS[kind].objects.select_related("quote"), pk=row_pk, quote=pk)
    form = with_rates(FORMS[kind](posted(request), instance=row))
    if form.is_valid():
        try:
            changes = {row_pk: _given(form)}
            change_rows(quote=row.quote, **{f"{kind}s": changes})
            return redirect("quote", pk)
        except Refusal as refusal:
            add_refusal(form, refusal)
    context = {"form": form, "quote": row.quote, "kind": kind, "row": row}
    if kind == "material":
        context |= pieces_of_row(request, row)
    return render(request, "quotes/quote_row.html", context, status=422 if form.errors else 200)


def _given(form: forms.BaseForm) -> dict[str, Any]:
    """Return what was filled in; an empty figure of a stage or an own line is 0."""
    optional = {"markup", "hours_low", "hours_high", "waiting_days"}
    keeps_empty = isinstance(form, MaterialForm)
    return {
        name: Decimal(0) if value is None and name in optional and not keeps_empty else value
        for name, value in form.cleaned_data.items()
    }


@require_POST
def quote_row_remove(request: HttpRequest, pk: int, kind: str, row_pk: int) -> HttpResponse:
    """Take a row out of a draft."""
    row = get_object_or_404(MODELS[kind].objects.select_related("quote"), pk=row_pk, quote=pk)
    sealed = seal(row)
    try:
        remove_row(row=row)
    except Refusal as refusal:
        return show_quote(request, pk, refusal.sentence)
    undo = reverse("quote_row_put_back", args=[pk, sealed])
    messages.success(request, f"{row} is taken out.", extra_tags=undo)
    return redirect("quote", pk)


@require_POST
def quote_row_put_back(request: HttpRequest, pk: int, sealed: str) -> HttpResponse:
    """Put a row back that was just taken out."""
    quote = get_object_or_404(Quote, pk=pk)
    try:
        put_back_row(quote=quote, taken=unseal(sealed))
    except Refusal as refusal:
        return show_quote(request, pk, refusal.sentence)
    return redirect("quote", pk)
