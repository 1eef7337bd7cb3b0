"""Pages of string sets and of fretwire."""

from decimal import Decimal
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.base.pages import asks_for_part, stock_trail
from inventory.base.refusals import Refusal
from inventory.kits.queries import parts_replacement_cost, still_makeable
from inventory.models import KeptAs, Material, StringSet, Workshop
from inventory.strings.calc.fretwire import frets_of, wire_length
from inventory.strings.calc.string_sets import pull_of
from inventory.strings.documents import print_sleeve, sleeve_of
from inventory.strings.forms import (
    FingerboardForm,
    SleeveForm,
    StringRows,
    StringSetForm,
    head_of,
    strings_of,
)
from inventory.strings.queries import fittings_of, pull_of_set, rows_of, string_sets
from inventory.strings.services import save_string_set


def string_set(request: HttpRequest, pk: int) -> HttpResponse:
    """Show what a set pulls with, string by string, and how many can still be made."""
    row = get_object_or_404(string_sets(), pk=pk)
    pull = pull_of_set(row)
    context = {
        "set": row,
        "rows": rows_of(row, pull),
        "pull": pull,
        "makeable": still_makeable(row.recipe),
        "cost": parts_replacement_cost(row.recipe),
        "fittings": fittings_of(row),
        "sleeve": SleeveForm(initial={"made_on": timezone.localdate()}),
        "trail": _trail(),
    }
    return render(request, "inventory/strings/string_set.html", context)


def sleeve_pdf(request: HttpRequest, pk: int) -> HttpResponse:
    """The sleeve of a set, to cut out and fold; a day that can't be read is today."""
    row = get_object_or_404(string_sets(), pk=pk)
    form = SleeveForm(request.GET)
    form.is_valid()
    sleeve = sleeve_of(
        row,
        made_on=form.cleaned_data.get("made_on") or timezone.localdate(),
        made_for=form.cleaned_data.get("made_for", ""),
    )
    printed = print_sleeve(sleeve, Workshop.objects.first())
    headers = {"Content-Disposition": 'inline; filename="sleeve.pdf"'}
    return HttpResponse(printed, content_type="application/pdf", headers=headers)


def new_string_set(request: HttpRequest) -> HttpResponse:
    """Write down a set of strings."""
    return _edit(request, None)


def edit_string_set(request: HttpRequest, pk: int) -> HttpResponse:
    """Change the strings of a set."""
    return _edit(request, get_object_or_404(string_sets(), pk=pk))


@require_POST
def try_strings(request: HttpRequest) -> HttpResponse:
    """Work out what typed strings would pull with; nothing is kept."""
    head, strings = StringSetForm(request.POST), StringRows(request.POST)
    context = _worked_out(head, strings)
    if asks_for_part(request):
        return render(request, "inventory/strings/parts/string_pull.html", context)
    return _page(request, head, strings, None, context=context)


def _edit(request: HttpRequest, row: StringSet | None) -> HttpResponse:
    if request.method != "POST":
        head = StringSetForm(initial=head_of(row) if row else {"material": request.GET.get("name")})
        strings = StringRows(initial=strings_of(row) if row else [])
        return _page(request, head, strings, row, {"pull": pull_of_set(row)} if row else {})
    head, strings = StringSetForm(request.POST), StringRows(request.POST)
    context = _worked_out(head, strings)
    if not (head.is_valid() and strings.is_valid()):
        return _page(request, head, strings, row, context, 422)
    try:
        kept = save_string_set(strings=strings.chosen(), **head.cleaned_data)  # type: ignore[attr-defined]
    except Refusal as refusal:
        return _page(request, head, strings, row, context | {"refusal": refusal.sentence}, 409)
    return redirect("string_set", kept.pk)


def _worked_out(head: StringSetForm, strings: Any) -> dict[str, Any]:
    """Return what the strings that can be read pull with, once there is a scale length."""
    head.is_valid()
    scale = head.cleaned_data.get("scale_mm")
    if not scale:
        return {"wanting": "Enter a scale length to see the pull of the strings."}
    if not strings.is_valid():
        return {"wanting": "Some strings need correcting."}
    planned = strings.planned()
    return {"pull": pull_of(planned, scale)} if planned else {"wanting": "No strings yet."}


def _page(
    request: HttpRequest,
    head: StringSetForm,
    strings: Any,
    row: StringSet | None,
    context: dict[str, Any],
    status: int = 200,
) -> HttpResponse:
    shown = {"head": head, "strings": strings, "set": row, "trail": _trail(row), **context}
    return render(request, "inventory/strings/string_set_edit.html", shown, status=status)


def _trail(row: StringSet | None = None) -> tuple[tuple[str, str], ...]:
    steps = [("Kits", reverse("made_up"))]
    if row:
        steps.append((str(row), reverse("string_set", args=[row.pk])))
    return stock_trail(*steps)


def fretwire(request: HttpRequest) -> HttpResponse:
    """How much wire the frets take, and where each lies."""
    asked = request.GET if "scale" in request.GET else None
    form = FingerboardForm(asked)
    context: dict[str, Any] = {"form": form, "trail": stock_trail()}
    if asked is not None and form.is_valid():
        board = form.board()
        net = wire_length(board)
        extra = net * form.cleaned_data["extra"] / 100
        context |= {
            "frets": frets_of(board),
            "net": net,
            "extra": extra,
            "draw": (net + extra).quantize(Decimal(1)),
            "wires": Material.objects.filter(
                kept_as=KeptAs.LENGTH, is_archived=False, family__name__icontains="fret"
            ),
        }
    return render(request, "inventory/strings/fretwire.html", context)
