"""The one way a page asks: form shown, sent, done, or the refusal beside its field."""

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from typing import Any

from django import forms
from django.contrib import messages
from django.forms.formsets import BaseFormSet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from inventory.base.forms import add_refusal, was_refused
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
    """Show `form`; when it is sent and right, `act` on its data and go where `act` says."""
    if form.is_valid():
        with refusals_on(form):
            return redirect(act(form.cleaned_data))
    shown = {"form": form, "form_page": form_page, "trail": form_page.trail, **context}
    return render_form(request, template, shown)


@contextmanager
def refusals_on(form: forms.BaseForm) -> Iterator[None]:
    """Put a Refusal raised inside beside the field of `form` that it names, and go on."""
    try:
        yield
    except Refusal as refusal:
        add_refusal(form, refusal)


def render_form(request: HttpRequest, template: str, context: dict[str, Any]) -> HttpResponse:
    """Render a page with its forms; the status says what became of them.

    409 where one was refused (or `context` holds a `refusal`), 422 where one can't be read,
    200 where nothing was sent.
    """
    asked = [one for one in context.values() if isinstance(one, forms.BaseForm | BaseFormSet)]
    sent = [one for one in asked if one.is_bound and not one.is_valid()]
    status = 422 if sent else 200
    if context.get("refusal") or any(was_refused(one) for one in sent):
        status = 409
    return render(request, template, context, status=status)


def asks_for_part(request: HttpRequest) -> bool:
    """Say whether htmx asks for the part of a page that changes, not for a whole page."""
    htmx: Any = getattr(request, "htmx", None)  # set by its middleware, which has no types
    return bool(htmx) and not htmx.boosted


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
