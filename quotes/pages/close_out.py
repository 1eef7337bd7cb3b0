"""The close-out of a build."""

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone

from inventory.refusals import Refusal
from quotes.calc.close_out_sheet import CloseOutSheet
from quotes.calc.snapshot import from_data
from quotes.documents.printing import print_paper
from quotes.models import CloseOut, Quote
from quotes.pages.asking import posted
from quotes.pages.fields import AmountField
from quotes.queries.certificate import certificate_paper
from quotes.queries.close_out import close_out_sheet
from quotes.services.close_out import close_out as close_out_build
from shop.models import Build
from shop.pages.telling import add_refusal
from shop.pictures.planned_actual import StagePair, planned_actual
from shop.pictures.shapes import Picture


class CloseOutForm(forms.Form):
    """A word to oneself, shown when the next quote of this template opens."""

    charge_next_time = AmountField(
        label="Charge next time, net", required=False, help_text="Without shipping and tax."
    )
    note_to_self = forms.CharField(
        max_length=300, required=False, widget=forms.Textarea(attrs={"rows": 2})
    )


def close_out(request: HttpRequest, pk: int) -> HttpResponse:
    """Show quoted against actual; once closed, as it was then."""
    build = get_object_or_404(Build.objects.select_related("template"), pk=pk)
    kept = CloseOut.objects.filter(build=build).first()
    on = timezone.localdate()
    sheet = from_data(CloseOutSheet, kept.figures) if kept else close_out_sheet(build, on)
    form = CloseOutForm(posted(request), initial=_initial(sheet, kept))
    if form.is_valid():
        try:
            close_out_build(build=build, on=on, now=timezone.now(), **form.cleaned_data)
            return redirect("close_out", pk)
        except Refusal as refusal:
            add_refusal(form, refusal)
    context = {
        "build": build,
        "kept": kept,
        "sheet": sheet,
        "quote": Quote.objects.filter(build=build).first(),
        "form": form,
        "picture": _picture(sheet),
    }
    return render(request, "quotes/close_out.html", context, status=422 if form.errors else 200)


def _picture(sheet: CloseOutSheet) -> Picture | None:
    pairs = [
        StagePair(name=stage.name, quoted=float(stage.quoted), actual=float(stage.actual))
        for stage in sheet.stages
        if stage.quoted or stage.actual
    ]
    return planned_actual(pairs) if pairs else None


def _initial(sheet: CloseOutSheet, kept: CloseOut | None) -> dict[str, object]:
    if kept:
        return {"charge_next_time": kept.charge_next_time, "note_to_self": kept.note_to_self}
    return {"charge_next_time": sheet.charge_next.price if sheet.charge_next else None}


def certificate(request: HttpRequest, pk: int) -> HttpResponse:
    """Print the certificate of an instrument."""
    build = get_object_or_404(Build, pk=pk)
    made_on = build.finished_on or timezone.localdate()
    printed = print_paper(
        "quotes/papers/certificate.html", certificate_paper(build), made_on=f"{made_on}"
    )
    return HttpResponse(printed, content_type="application/pdf")
