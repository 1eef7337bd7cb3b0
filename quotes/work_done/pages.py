"""The page of work charged by time and materials."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils import timezone

from inventory.base.pages import refusals_on, render_form
from inventory.base.refusals import Refusal
from inventory.base.roles import BOOK_ROLES, allow_roles
from quotes.base.pages import posted
from quotes.invoicing.forms import DueForm
from quotes.models import Quote
from quotes.work_done.queries import WorkDone
from quotes.work_done.queries import work_done as gather
from quotes.work_done.services import invoice_work_done


@allow_roles(*BOOK_ROLES)
def work_done(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what the work comes to so far, and invoice it."""
    quotes = Quote.objects.select_related("commission__client", "build")
    quote = get_object_or_404(quotes, pk=pk)
    done = _gathered(quote)
    is_union_supply = quote.tax_kind == Quote.TaxKind.INTRA_COMMUNITY
    form = DueForm(posted(request), is_union_supply=is_union_supply)
    if form.is_valid():
        with refusals_on(form):
            invoice = invoice_work_done(quote=quote, on=timezone.localdate(), **form.cleaned_data)
            messages.success(request, f"{invoice} is issued.")
            return redirect("invoice", invoice.pk)
    context = {"form": form, "quote": quote, "done": done}
    return render_form(request, "quotes/work_done/work_done.html", context)


def _gathered(quote: Quote) -> WorkDone:
    try:
        return gather(quote)
    except Refusal:
        raise Http404 from None
