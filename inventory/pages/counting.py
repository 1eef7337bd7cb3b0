"""Counting by shelf."""

from typing import Any

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.documents.counts import count_sheet
from inventory.forms.counting import LineForm, StartForm
from inventory.models import Count, Workshop
from inventory.pages.asking import Asking, ask, stock_trail, tell
from inventory.queries.counting import counts, lines_of
from inventory.refusals import Refusal
from inventory.services.close_count import close_count
from inventory.services.note_count import note_count
from inventory.services.start_count import start_count

PAGE = 50
LINES = 100
"""Lines of a count on one page: few enough for a form, and for a thumb."""


def count_list(request: HttpRequest) -> HttpResponse:
    """Every count, the latest first."""
    page = Paginator(counts(), PAGE).get_page(request.GET.get("page"))
    return render(request, "inventory/counts.html", {"page": page})


def new_count(request: HttpRequest) -> HttpResponse:
    """Freeze the books of a shelf and begin to count it."""
    form = StartForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        return reverse("count", args=[start_count(now=timezone.now(), **data).pk])

    asking = Asking(
        heading="New count",
        lede="What the books say now is kept; you may go on working while you count.",
        do="Freeze and count",
        back=reverse("counts"),
        trail=_trail(),
    )
    return ask(request, form, asking, act)


def count(request: HttpRequest, pk: int) -> HttpResponse:
    """The sheet of one count: on the phone, or printed and typed in afterwards."""
    row = get_object_or_404(Count.objects.select_related("place"), pk=pk)
    page = Paginator(lines_of(row), LINES).get_page(request.GET.get("page"))
    sent = request.POST if request.method == "POST" else None
    forms = [LineForm(sent, line) for line in page]
    shown = {"count": row, "forms": forms, "page": page, "trail": _trail()}
    status = 422 if request.method == "POST" else 200
    if request.method == "POST" and not [form for form in forms if not form.is_valid()]:
        try:
            _note(forms)
            tell(request, "Kept. Close the count once everything is counted.")
            return redirect(request.get_full_path())
        except Refusal as refusal:
            shown["refusal"], status = refusal.sentence, 409
    return render(request, "inventory/count.html", shown, status=status)


def count_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """The same on paper: with room to write while it is counted, as it was found afterwards."""
    row = get_object_or_404(Count.objects.select_related("place"), pk=pk)
    pdf = count_sheet(count=row, lines=list(lines_of(row)), workshop=Workshop.objects.first())
    answer = HttpResponse(pdf, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="count-{pk}.pdf"'
    return answer


@require_POST
def close(request: HttpRequest, pk: int) -> HttpResponse:
    """Book the differences of a count."""
    row = get_object_or_404(Count, pk=pk)
    try:
        entries = close_count(count=row, now=timezone.now(), user=request.user)
    except Refusal as refusal:
        tell(request, refusal.sentence)
        return redirect("count", pk=pk)
    words = f"{len(entries)} difference{'' if len(entries) == 1 else 's'}"
    tell(request, f"{row} is closed: {words} booked.")
    return redirect("count", pk=pk)


def _note(forms: list[LineForm]) -> None:
    for form in forms:
        if form.has_changed():
            note_count(line=form.line, **form.cleaned_data)


def _trail() -> tuple[tuple[str, str], ...]:
    return stock_trail(("Counts", reverse("counts")))
