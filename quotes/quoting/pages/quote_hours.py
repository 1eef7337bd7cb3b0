"""The hours of a draft, taken from past builds at the level that the maker names."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.utils import timezone

from inventory.base.pages import render_form
from inventory.base.refusals import Refusal
from quotes.base.pages import part_of_quote
from quotes.models import Quote
from quotes.quoting.queries.quote_hours import hours_choice
from quotes.quoting.services.hours import take_hours

MOST_AT_ONCE = 12


def quote_hours(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a draft's hours beside its estimates, and take them over."""
    row = get_object_or_404(Quote.objects.select_related("template", "commission__client"), pk=pk)
    batch, on, refusal = _batch(request), timezone.localdate(), ""
    if request.method == "POST":
        try:
            take_hours(
                quote=row,
                on=on,
                batch=batch,
                level=request.POST.get("level", ""),
                stages=_chosen(request, row),
                by_hand="by_hand" in request.POST,
            )
            return part_of_quote(pk, "hours")
        except Refusal as error:
            refusal = error.sentence
    choice = hours_choice(row, on=on, batch=batch)
    context = {"quote": row, "choice": choice, "batch": batch, "refusal": refusal}
    return render_form(request, "quotes/quoting/quote_hours.html", context)


def _chosen(request: HttpRequest, quote: Quote) -> dict[int, str]:
    """Return the levels chosen for single stages: `level-12` in the form is that of row 12."""
    keys = quote.stages.values_list("pk", flat=True)
    asked = {key: request.POST.get(f"level-{key}", "") for key in keys}
    return {key: level for key, level in asked.items() if level}


def _batch(request: HttpRequest) -> int:
    asked = request.POST.get("batch") or request.GET.get("batch") or ""
    return min(max(int(asked), 1), MOST_AT_ONCE) if asked.isdecimal() else 1
