"""Pages of a pattern's hours: the estimate, how honest it has been, and the learning curve."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.contrib import messages
from django.core.paginator import Paginator
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.http import url_has_allowed_host_and_scheme, urlencode
from django.views.decorators.http import require_POST

from inventory.base.documents import page_size
from inventory.base.pages import render_form
from inventory.base.refusals import Refusal
from inventory.base.roles import OWNER, allow_roles
from shop.base.forms import options_asked
from shop.estimates.calc.learning import LearningCurve, Model
from shop.estimates.documents import HoursPaper, print_hours
from shop.estimates.forms import MadeBeforeForm, RelatedForm, SettingsForm
from shop.estimates.pages.pictures import calibration_of, learning_curve_of, ranges_of
from shop.estimates.queries.estimates import backtest_from
from shop.estimates.queries.learning import Numbered, learning_of
from shop.estimates.queries.past_builds import PastBuilds, record_of
from shop.estimates.queries.sheet import EstimateSheet, estimate_sheet
from shop.estimates.services import leave_out_of_estimates
from shop.models import Build, BuildTemplate, EstimateSettings, RelatedTemplate

MOST_AT_ONCE = 12
PAGE = 50
"""Past builds on one page."""


def template_hours(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the hours of the next build of a pattern, each figure with the builds behind it."""
    template = get_object_or_404(BuildTemplate, pk=pk)
    record = record_of(template)
    context = hours_page(template, "template_hours") | {"record": record}
    if record.stages:
        sheet = _sheet(request, record)
        page = Paginator(sheet.builds, PAGE).get_page(request.GET.get("page"))
        context |= {"sheet": sheet, "picture": ranges_of(sheet), "page": page}
    return render(request, "shop/estimates/template_hours.html", context)


def template_hours_paper(request: HttpRequest, pk: int) -> HttpResponse:
    """Print the hours of a pattern, how they came about and how far to trust them."""
    record = record_of(get_object_or_404(BuildTemplate, pk=pk))
    if not record.stages:
        raise Http404
    sheet = _sheet(request, record)
    learning, found = learning_of(record), backtest_from(record)
    printed = print_hours(
        HoursPaper(
            workshop=f"{request.workshop}",  # type: ignore[attr-defined]
            size=page_size(request.workshop.country if request.workshop else ""),  # type: ignore[attr-defined]
            made_on=timezone.localdate(),
            sheet=sheet,
            ranges=ranges_of(sheet),
            curve=learning.curve,
            learned=learning_curve_of(learning) if learning.builds else None,
            found=found,
            trust=calibration_of(found) if found.calibration else None,
        )
    )
    headers = {"Content-Disposition": 'inline; filename="hours.pdf"'}
    return HttpResponse(printed, content_type="application/pdf", headers=headers)


def template_backtest(request: HttpRequest, pk: int) -> HttpResponse:
    """Show how past estimates of a pattern came out."""
    template = get_object_or_404(BuildTemplate, pk=pk)
    record = record_of(template)
    context = hours_page(template, "template_backtest") | {"record": record}
    if record.stages:
        found = backtest_from(record)
        names = {f"{stage.pk}": stage.name for stage in record.stages}
        context |= {
            "found": found,
            "stages": [(names[one.key], one) for one in found.by_stage],
            "picture": calibration_of(found) if found.calibration else None,
        }
    return render(request, "shop/estimates/template_backtest.html", context)


def template_learning(request: HttpRequest, pk: int) -> HttpResponse:
    """Show hours by number in the pattern, of a whole build or of one stage."""
    template = get_object_or_404(BuildTemplate, pk=pk)
    record = record_of(template)
    asked = request.GET.get("stage", "")
    stage = next((one for one in record.stages if f"{one.pk}" == asked), None)
    context = hours_page(template, "template_learning") | {"record": record, "stage": stage}
    if record.stages:
        model: Model = "average" if request.GET.get("model") == "average" else "unit"
        learning = learning_of(record, stage, model)
        context["model"] = model
        picture = learning_curve_of(learning) if learning.builds else None
        page = Paginator(learning.builds, PAGE).get_page(request.GET.get("page"))
        rows = _beside_curve(page, learning.curve)
        context |= {"learning": learning, "picture": picture, "page": page, "rows": rows}
    return render(request, "shop/estimates/template_learning.html", context)


def _beside_curve(builds: Iterable[Numbered], curve: LearningCurve | None) -> list[dict[str, Any]]:
    """Return each build with the hours that the curve gives to its number."""
    return [{"row": row, "by_curve": curve.hours(row.number) if curve else None} for row in builds]


def template_basis(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what the estimates of a pattern go by, beside its own stages."""
    template = get_object_or_404(BuildTemplate, pk=pk)
    made = MadeBeforeForm(
        request.POST if "made_before" in request.POST else None, instance=template
    )
    other = RelatedForm(
        request.POST if "related" in request.POST else None,
        instance=RelatedTemplate(template=template),
    )
    for form in (made, other):
        if form.is_valid():
            form.save()
            return redirect("template_basis", pk)
    context = hours_page(template, "template_basis") | {
        "made": made,
        "other": other,
        "related": template.related_templates.select_related("related"),
        "settings": EstimateSettings.objects.first() or EstimateSettings(),
    }
    return render_form(request, "shop/estimates/template_basis.html", context)


@require_POST
def related_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Count the builds of another pattern no longer."""
    row = get_object_or_404(RelatedTemplate.objects.select_related("related"), pk=pk)
    row.delete()
    messages.success(request, f"Builds of {row.related} no longer count here.")
    return redirect("template_basis", row.template_id)


@allow_roles(OWNER)
def estimate_settings(request: HttpRequest) -> HttpResponse:
    """Change what every estimate takes for granted."""
    row = EstimateSettings.objects.first() or EstimateSettings(pk=1)
    form: forms.ModelForm = SettingsForm(request.POST or None, instance=row)
    if form.is_valid():
        form.save()
        messages.success(request, "Saved. All estimates now use these settings.")
        return redirect(_back(request))
    context = {"form": form, "back": _back(request)}
    return render_form(request, "shop/estimates/estimate_settings.html", context)


@require_POST
def build_set_aside(request: HttpRequest, pk: int, act: str) -> HttpResponse:
    """Set a past build or some of its stages aside, or count them again."""
    build = get_object_or_404(Build, pk=pk)
    stages = [int(key) for key in request.GET.getlist("stage") if key.isdigit()]
    try:
        leave_out_of_estimates(build=build, is_set_aside=act == "aside", stages=stages)
    except Refusal as refusal:
        messages.error(request, refusal.sentence)
    else:
        told = "left out of estimates." if act == "aside" else "included in estimates."
        what = f"{build.serial}, {_stage_names(build, stages)}" if stages else f"{build.serial}"
        messages.success(request, f"{what} {told}", extra_tags=_undo(request, build, act))
    return redirect(_back(request))


def _stage_names(build: Build, stages: list[int]) -> str:
    return ", ".join(build.stages.filter(pk__in=stages).values_list("name", flat=True))


def _undo(request: HttpRequest, build: Build, act: str) -> str:
    opposite = "count" if act == "aside" else "aside"
    kept = [("stage", key) for key in request.GET.getlist("stage")] + [("next", _back(request))]
    return f"{reverse('build_set_aside', args=[build.pk, opposite])}?{urlencode(kept)}"


def _back(request: HttpRequest) -> str:
    asked = request.GET.get("next", "")
    if url_has_allowed_host_and_scheme(asked, allowed_hosts=None):
        return asked
    return reverse("templates")


def _sheet(request: HttpRequest, record: PastBuilds) -> EstimateSheet:
    return estimate_sheet(
        record,
        on=timezone.localdate(),
        batch=_batch(request),
        options=options_asked(request.GET) if "options" in request.GET else None,
    )


def _batch(request: HttpRequest) -> int:
    asked = request.GET.get("batch", "")
    return min(max(int(asked), 1), MOST_AT_ONCE) if asked.isdecimal() else 1


def hours_page(template: BuildTemplate, here: str) -> dict[str, Any]:
    """Return what every page of a pattern's hours shows around its content."""
    names = [
        ("Estimate", "template_hours"),
        ("Track record", "template_backtest"),
        ("Learning", "template_learning"),
        ("Basis", "template_basis"),
        ("Load old sheets", "old_hours"),
    ]
    tabs = [(word, reverse(name, args=[template.pk]), name == here) for word, name in names]
    return {"template": template, "tabs": tabs}
