"""The specification of a draft, edited as a table."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render

from inventory.base.refusals import Refusal
from quotes.base.pages import part_of_quote, posted
from quotes.models import Quote
from quotes.quoting.forms.specification import spec_rows_form
from quotes.quoting.services.specification import edit_specification


def quote_specification(request: HttpRequest, pk: int) -> HttpResponse:
    """Edit the rows of a draft's specification, and its free words."""
    quote = get_object_or_404(Quote.objects.select_related("template"), pk=pk)
    rows, refusal = spec_rows_form(quote, posted(request)), ""
    text = request.POST.get("text", quote.specification)
    if rows.is_bound and rows.is_valid():
        try:
            asked = [form.asked() for form in rows]
            edit_specification(quote=quote, rows=asked, text=text)
            return part_of_quote(pk, "text")
        except Refusal as refused:
            refusal = refused.sentence
    context = {"rows": rows, "quote": quote, "text": text, "refusal": refusal}
    status = 422 if rows.is_bound else 200
    return render(request, "quotes/quoting/quote_specification.html", context, status=status)
