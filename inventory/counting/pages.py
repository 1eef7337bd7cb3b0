"""Counting by shelf."""

from typing import Any

from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone

from inventory.base.pages import FormPage, handle_form, notify, stock_trail
from inventory.base.queries import end_of_past_day
from inventory.base.refusals import Refusal
from inventory.counting.documents import count_sheet
from inventory.counting.forms import CountLineForm, StartForm
from inventory.counting.queries import counts, differences_of, lines_of
from inventory.counting.services import close_count, record_count, reveal_count, start_count
from inventory.models import Count, CountLine, Workshop

PAGE = 50
LINES = 100
"""Lines of a count on one page: few enough for a form, and for a thumb."""


def count_list(request: HttpRequest) -> HttpResponse:
    """Every count, the latest first."""
    page = Paginator(counts(), PAGE).get_page(request.GET.get("page"))
    return render(request, "inventory/counting/counts.html", {"page": page})


def new_count(request: HttpRequest) -> HttpResponse:
    """Freeze the books of a shelf and begin to count it."""
    form = StartForm(request.POST or None)

    def act(data: dict[str, Any]) -> str:
        frozen_at = end_of_past_day(data.pop("on"), today=timezone.localdate())
        begun = start_count(now=timezone.now(), frozen_at=frozen_at, **data)
        return reverse("count", args=[begun.pk])

    asking = FormPage(
        heading="New count",
        lede="The recorded quantities are frozen. Later movements are marked so that you can "
        "ignore them.",
        do="Save",
        back=reverse("counts"),
        trail=_trail(),
    )
    return handle_form(request, form, asking, act)


def count(request: HttpRequest, pk: int) -> HttpResponse:
    """The sheet of one count: on the phone, or printed and typed in afterwards."""
    row = get_object_or_404(Count.objects.select_related("place"), pk=pk)
    page = Paginator(lines_of(row), LINES).get_page(request.GET.get("page"))
    sent = request.POST if request.method == "POST" else None
    lines = list(row.lines.all())
    differing = {line: by for line, by in differences_of(row, lines) if by}
    forms = [CountLineForm(sent, line, differing.get(line)) for line in page]
    shown = {"count": row, "forms": forms, "page": page, "trail": _trail()}
    shown |= _sums(lines, list(differing))
    status = 422 if request.method == "POST" else 200
    if request.method == "POST" and not [form for form in forms if not form.is_valid()]:
        try:
            _note(forms)
            return _then(request, row)
        except Refusal as refusal:
            shown["refusal"], status = refusal.sentence, 409
    return render(request, "inventory/counting/count.html", shown, status=status)


def count_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """The same on paper: with room to write while it is counted, as it was found afterwards."""
    row = get_object_or_404(Count.objects.select_related("place"), pk=pk)
    pdf = count_sheet(count=row, lines=list(lines_of(row)), workshop=Workshop.objects.first())
    answer = HttpResponse(pdf, content_type="application/pdf")
    answer["Content-Disposition"] = f'inline; filename="count-{pk}.pdf"'
    return answer


def _then(request: HttpRequest, row: Count) -> HttpResponse:
    """Go on once everything typed is kept: to what the button said."""
    if "close" in request.POST:
        _close(request, row)
        return redirect("count", pk=row.pk)
    if "reveal" in request.POST:
        reveal_count(count=row)
    else:
        notify(request, "Saved.")
    return redirect(request.get_full_path())


def _close(request: HttpRequest, row: Count) -> None:
    entries = close_count(count=row, now=timezone.now(), user=request.user)
    words = f"{len(entries)} difference{'' if len(entries) == 1 else 's'}"
    notify(request, f"{row} is closed: {words} posted.")


def _sums(lines: list[CountLine], differing: list[CountLine]) -> dict[str, int]:
    """How far the count is: lines, those counted, those that differ, those without a reason."""
    return {
        "line_count": len(lines),
        "done": sum(line.counted is not None for line in lines),
        "differing": len(differing),
        "unexplained": sum(not line.reason for line in differing),
    }


def _note(forms: list[CountLineForm]) -> None:
    for form in forms:
        if form.has_changed():
            record_count(line=form.line, **form.cleaned_data)


def _trail() -> tuple[tuple[str, str], ...]:
    return stock_trail(("Counts", reverse("counts")))
