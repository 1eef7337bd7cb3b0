"""The page that loads a maker's old sheets: read, look, put right, load, take back."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST

from inventory.base.pages import refusals_on, render_form
from inventory.base.refusals import Refusal
from shop.estimates.pages.estimates import hours_page
from shop.models import BuildTemplate, OldSheet
from shop.past_sheets.calc.records import Sheet
from shop.past_sheets.forms import FileForm, ReadingForm, choices_in
from shop.past_sheets.queries import (
    Preview,
    packed,
    preview_of,
    read_file,
    read_pasted,
    sheets_of,
    unpacked,
)
from shop.past_sheets.services import load_old_hours, undo_old_hours

PREVIEWED = 100
"""So many builds are shown before they are loaded; the rest is counted."""


def old_hours(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a file or pasted rows and show what they would become."""
    template = get_object_or_404(BuildTemplate, pk=pk)
    form = FileForm(request.POST, request.FILES) if request.method == "POST" else FileForm()
    if form.is_valid():
        with refusals_on(form):
            sheet, name = _given(form)
            return _show(request, template, preview_of(template, sheet, choices_in({})), name)
    context = hours_page(template, "old_hours") | {"form": form, "sheets": sheets_of(template)}
    return render_form(request, "shop/past_sheets/old_hours.html", context)


@require_POST
def old_hours_reading(request: HttpRequest, pk: int) -> HttpResponse:
    """Read a sheet again as chosen, and load it when that is asked for."""
    template = get_object_or_404(BuildTemplate, pk=pk)
    name = request.POST.get("name", "")
    try:
        sheet = unpacked(request.POST.get("sheet", ""))
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
        return redirect("old_hours", pk)
    preview = _preview(request, template, sheet)
    if "load" not in request.POST:
        return _show(request, template, preview, name)
    try:
        loaded = load_old_hours(
            template=template,
            reading=preview.reading,
            uses=preview.uses,
            person=request.user,
            now=timezone.now(),
            name=name,
        )
    except Refusal as refusal:
        return _show(request, template, preview, name, refusal.sentence)
    count = loaded.builds.count()
    undo = reverse("old_hours_take_back", args=[loaded.pk])
    told = f"{count} build{'s' if count > 1 else ''} loaded."
    messages.success(request, told, extra_tags=undo)
    return redirect("template_hours", pk)


@require_POST
def old_hours_take_back(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a load back."""
    sheet = get_object_or_404(OldSheet.objects.select_related("template"), pk=pk)
    try:
        count = undo_old_hours(sheet=sheet)
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    else:
        messages.success(
            request, f"Import undone: {count} build{('s' if count > 1 else '')} removed."
        )
    return redirect("old_hours", sheet.template_id)


def _given(form: FileForm) -> tuple[Sheet, str]:
    upload = form.cleaned_data["file"]
    if upload:
        return read_file(upload.name, upload.read()), upload.name
    return read_pasted(form.cleaned_data["pasted"]), ""


def _preview(request: HttpRequest, template: BuildTemplate, sheet: Sheet) -> Preview:
    """Read the sheet as chosen; what can't be chosen is told, and guessed instead."""
    try:
        return preview_of(template, sheet, choices_in(request.POST))
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
        return preview_of(template, sheet, choices_in({}))


def _show(
    request: HttpRequest, template: BuildTemplate, preview: Preview, name: str, refusal: str = ""
) -> HttpResponse:
    context = hours_page(template, "old_hours") | {
        "preview": preview,
        "builds": preview.reading.builds[:PREVIEWED],
        "unsound": len(preview.reading.builds) - len(preview.reading.sound),
        "more": max(len(preview.reading.builds) - PREVIEWED, 0),
        "form": ReadingForm(preview=preview),
        "sheet": packed(preview.sheet),
        "name": name,
        "refusal": refusal,
    }
    return render_form(request, "shop/past_sheets/old_hours_reading.html", context)
