"""The one way a page asks: form shown, sent, done, or the refusal beside its field."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from inventory.base.refusals import Refusal
from inventory.models import StockEntry


@dataclass(frozen=True, slots=True, kw_only=True)
class FormPage:
    """The words around a form: what the page is for, its button, and the way back."""

    heading: str
    do: str = "Save"
    back: str = ""
    lede: str = ""
    trail: tuple[tuple[str, str], ...] = field(default_factory=tuple)


def handle_form(
    request: HttpRequest,
    form: Any,
    form_page: FormPage,
    act: Callable[[dict[str, Any]], str],
    template: str = "inventory/ask.html",
    **context: Any,
) -> HttpResponse:
    """Show `form`; when it is sent and right, `act` on its data and go where `act` says.

    A Refusal is shown at its field with status 409, what can't be read with 422.
    """
    status = 200
    if request.method == "POST":
        status = 422
        if form.is_valid():
            try:
                return redirect(act(form.cleaned_data))
            except Refusal as refusal:
                name = refusal.field if refusal.field in form.fields else None
                form.add_error(name, refusal.sentence)
                status = 409
    shown = {"form": form, "form_page": form_page, "trail": form_page.trail, **context}
    return render(request, template, shown, status=status)


def reversal_address(entries: Iterable[StockEntry]) -> str:
    """Return where a notice's *Undo* posts to for `entries`."""
    return reverse("reverse_groups", args=["-".join(str(entry.pk) for entry in entries)])


def notify(request: HttpRequest, sentence: str, entries: Iterable[StockEntry] = ()) -> None:
    """Put `sentence` on the next page, with an *Undo* of `entries` when there are some."""
    entries = list(entries)
    messages.success(request, sentence, extra_tags=reversal_address(entries) if entries else "")


def stock_trail(*steps: tuple[str, str]) -> tuple[tuple[str, str], ...]:
    """Return the way to a page below the stock list."""
    return (("Stock", reverse("stock")), *steps)
