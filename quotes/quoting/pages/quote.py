"""A quote's own page, its paper, and two versions side by side."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.base.pages import asks_for_part, refusals_on, render_form
from inventory.base.refusals import Refusal
from quotes.base.pages import posted
from quotes.models import Quote
from quotes.papers.documents.quote import quote_pdf
from quotes.quoting.forms.quotes import InstrumentTermsForm, SetPriceForm, TermsForm
from quotes.quoting.queries.quote_page import quote_page
from quotes.quoting.queries.versions import side_by_side
from quotes.quoting.services.edit import NAME, edit_quote, set_price
from shop.base.forms import options_asked


def quote(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a quote: every figure opens to its parts."""
    return show_quote(request, pk)


def show_quote(
    request: HttpRequest, pk: int, refusal: str = "", asked: SetPriceForm | None = None
) -> HttpResponse:
    """Render a quote's page, or for htmx the part of it that changes with its figures.

    `asked` is a price that could not be set, kept as it was typed.
    """
    try:
        page = quote_page(pk, timezone.localdate())
    except Quote.DoesNotExist:
        raise Http404 from None
    part = asks_for_part(request)
    template = "quotes/quoting/parts/quote_body.html" if part else "quotes/quoting/quote.html"
    context = {
        "page": page,
        "quote": page.quote,
        "offer": page.offer,
        "refusal": refusal,
        "asked": asked,
        "saved": part and request.method == "POST" and not refusal,
    }
    return render_form(request, template, context)


@require_POST
def quote_options(request: HttpRequest, pk: int) -> HttpResponse:
    """Switch the options of a draft, and say which the client may switch."""
    row = get_object_or_404(Quote, pk=pk)
    try:
        edit_quote(
            quote=row,
            options=options_asked(request.POST, "options"),
            offered=request.POST.getlist("offered"),
        )
    except Refusal as refusal:
        return show_quote(request, pk, refusal.sentence)
    return show_quote(request, pk) if asks_for_part(request) else redirect("quote", pk)


def quote_terms(request: HttpRequest, pk: int) -> HttpResponse:
    """Change the words, the policy and the money of a draft."""
    row = get_object_or_404(Quote.objects.select_related("commission__client"), pk=pk)
    form = (InstrumentTermsForm if row.part_of_id else TermsForm)(posted(request), instance=row)
    if form.is_valid():
        with refusals_on(form):
            edit_quote(quote=row, **form.cleaned_data)
            return redirect("quote", pk)
    context = {"form": form, "quote": row}
    return render_form(request, "quotes/quoting/quote_terms.html", context)


@require_POST
def quote_price(request: HttpRequest, pk: int) -> HttpResponse:
    """Set the price of a draft by hand."""
    row = get_object_or_404(Quote, pk=pk)
    form = SetPriceForm(request.POST)
    if not form.is_valid():
        return show_quote(request, pk, "Give the price as a number above 0.", form)
    try:
        priced = set_price(quote=row, **form.cleaned_data)
    except Refusal as refusal:
        return show_quote(request, pk, refusal.sentence, form)
    messages.success(request, _price_words(row, priced))
    return redirect("quote", pk)


def _price_words(before: Quote, after: Quote) -> str:
    words = f"The price is set by the line “{NAME}”: delete it to go back."
    if before.price_step == after.price_step:
        return words
    return f"{words} It is no longer rounded up to the next {before.price_step.normalize():f}."


def quote_document(request: HttpRequest, pk: int) -> HttpResponse:
    """Send the paper as it was sent, or print a draft as it would be today."""
    row = get_object_or_404(Quote.objects.select_related("commission__client"), pk=pk)
    try:
        printed = quote_pdf(row, timezone.localdate())
    except Refusal as refusal:
        return show_quote(request, pk, refusal.sentence)
    name = f"{row.number or 'draft'}.pdf"
    headers = {"Content-Disposition": f'inline; filename="{name}"'}
    return HttpResponse(printed, content_type="application/pdf", headers=headers)


def quote_compare(request: HttpRequest, pk: int, other_pk: int) -> HttpResponse:
    """Show two quotes side by side."""
    rows = Quote.objects.select_related("template", "build")
    before, after = get_object_or_404(rows, pk=pk), get_object_or_404(rows, pk=other_pk)
    try:
        sides = side_by_side(before, after, timezone.localdate())
    except Refusal as refusal:
        return show_quote(request, other_pk, refusal.sentence)
    return render(request, "quotes/quoting/quote_compare.html", {"sides": sides})
