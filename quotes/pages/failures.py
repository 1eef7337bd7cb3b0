"""What may go wrong with a draft's build, said stage by stage."""

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render

from inventory.refusals import Refusal
from quotes.models import Quote, QuoteFailure
from quotes.pages.asking import posted
from quotes.pages.fields import NumberField
from quotes.services.state_failure import state_failure
from shop.pages.telling import add_refusal


class FailureForm(forms.ModelForm):
    """One thing that may go wrong: how often, what is redone, what is lost."""

    hours = NumberField(
        label="Hours it then takes",
        unit="h",
        required=False,
        decimal_places=2,
        max_value=9999,
        help_text="Empty: all hours from the stage named next to the one where it shows.",
    )

    class Meta:
        model = QuoteFailure
        fields = ("name", "stage", "one_in", "hours", "redo_from", "lost")
        labels = {
            "name": "What goes wrong",
            "stage": "In the stage",
            "one_in": "In one build of",
            "redo_from": "Redone from the stage",
            "lost": "Lost each time",
        }
        help_texts = {
            "one_in": "20: one in 20 builds.",
            "lost": "One more of each is taken. What a line’s own reject rate pays already is not "
            "counted again.",
        }
        widgets = {"lost": forms.CheckboxSelectMultiple}

    def __init__(self, *args: Any, quote: Quote, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        stage, redo_from, lost = (self.fields[name] for name in ("stage", "redo_from", "lost"))
        stage.queryset = redo_from.queryset = quote.stages.all()  # type: ignore[attr-defined]
        redo_from.empty_label = "that stage alone"  # type: ignore[attr-defined]
        lost.queryset = quote.materials.all()  # type: ignore[attr-defined]


def quote_failure_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Say what else may go wrong."""
    return _page(request, get_object_or_404(Quote, pk=pk), None)


def quote_failure(request: HttpRequest, pk: int, failure_pk: int) -> HttpResponse:
    """Change what may go wrong."""
    rows = QuoteFailure.objects.select_related("quote")
    failure = get_object_or_404(rows, pk=failure_pk, quote=pk)
    return _page(request, failure.quote, failure)


def _page(request: HttpRequest, quote: Quote, failure: QuoteFailure | None) -> HttpResponse:
    form = FailureForm(posted(request), instance=failure, quote=quote)
    if form.is_valid():
        try:
            state_failure(quote=quote, failure=failure, **form.cleaned_data)
            return redirect("quote", quote.pk)
        except Refusal as refusal:
            add_refusal(form, refusal)
    context = {"form": form, "quote": quote, "kind": "failure", "row": failure}
    context |= {"heading": "Add what may go wrong"}
    return render(request, "quotes/quote_row.html", context, status=422 if form.errors else 200)
