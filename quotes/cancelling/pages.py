"""The page on which a commission is cancelled."""

from typing import Any

from django import forms
from django.contrib import messages
from django.db.models import QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone

from inventory.base.forms import AmountField, model_choice
from inventory.base.pages import refusals_on, render_form
from quotes.base.pages import posted
from quotes.cancelling.queries import CancelPage, cancel_page
from quotes.cancelling.services import cancel_commission
from quotes.models import Commission
from shop.models import BuildDraw


class CancelForm(forms.Form):
    """Why, and what is settled."""

    why = forms.CharField(label="Reason", max_length=200, required=False)
    settlement = AmountField(
        label="Settlement, gross",
        required=False,
        help_text="What the client pays for it in all. Empty: leave the invoices as they are.",
    )
    returned = forms.ModelMultipleChoiceField(BuildDraw.objects.none(), required=False)

    def __init__(self, *args: Any, draws: QuerySet[BuildDraw], is_accepted: bool, **kwargs: Any):
        super().__init__(*args, **kwargs)
        model_choice(self, "returned").queryset = draws
        if not is_accepted:
            del self.fields["settlement"], self.fields["returned"]


def commission_cancel(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what cancelling comes to, and cancel once the amount is set."""
    row = get_object_or_404(Commission.objects.select_related("client"), pk=pk)
    chosen = request.POST if request.method == "POST" else request.GET
    back = [int(key) for key in chosen.getlist("returned") if key.isdecimal()]
    page = cancel_page(row, timezone.localdate(), back)
    form = _form(request, page)
    if form.is_valid():
        with refusals_on(form):
            cancel_commission(
                commission=row, now=timezone.now(), user=request.user, **form.cleaned_data
            )
            messages.success(request, "Cancelled. All reserved stock is released.")
            return redirect("commission", pk)
    context = {"page": page, "form": form, "build": page.quote.build if page.quote else None}
    return render_form(request, "quotes/cancelling/cancel.html", context)


def _form(request: HttpRequest, page: CancelPage) -> CancelForm:
    initial = {"settlement": page.settlement.proposed} if page.settlement else {}
    draws = BuildDraw.objects.filter(
        pk__in=[row.draw.pk for row in page.drawn if not row.is_scrap]
    ).select_related("entry__material")
    return CancelForm(
        posted(request),
        draws=draws,
        is_accepted=page.quote is not None,
        initial=initial | {"why": request.GET.get("why", "")},
    )
