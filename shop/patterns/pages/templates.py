"""Pages of build templates."""

from collections.abc import Collection
from typing import Any

from django import forms
from django.contrib import messages
from django.db import transaction
from django.db.models import Max, Prefetch
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST

from inventory.base.pages import refusals_on, render_form
from shop.base.forms import options_asked
from shop.models import BuildTemplate, TemplateLine, TemplateSpec
from shop.patterns.forms import (
    CopyTemplateForm,
    OptionFormSet,
    SpecFormSet,
    StageFormSet,
    TemplateForm,
    TemplateLineForm,
)
from shop.patterns.queries import plan_of, template_rows
from shop.patterns.services.templates import copy_template


def templates(request: HttpRequest) -> HttpResponse:
    """List the patterns."""
    rows = template_rows()
    put_away = rows.filter(is_archived=True)
    context = {"templates": rows.filter(is_archived=False), "put_away": put_away}
    return render(request, "shop/patterns/templates.html", context)


def template(request: HttpRequest, pk: int) -> HttpResponse:
    """Show one pattern, with the options as asked or as it has them."""
    specs = Prefetch("specs", TemplateSpec.objects.select_related("line", "option"))
    row = get_object_or_404(BuildTemplate.objects.prefetch_related(specs), pk=pk)
    return render(
        request,
        "shop/patterns/template.html",
        {"template": row, "plan": plan_of(row, _asked(request))},
    )


def _asked(request: HttpRequest) -> Collection[str] | None:
    return options_asked(request.GET) if "options" in request.GET else None


def template_new(request: HttpRequest) -> HttpResponse:
    """Begin a pattern of one's own."""
    form = TemplateForm(request.POST or None)
    if form.is_valid():
        return redirect("template", form.save().pk)
    return _form_page(request, form, "New template", None)


def template_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change the name and the notes of a pattern."""
    row = get_object_or_404(BuildTemplate, pk=pk)
    form = TemplateForm(request.POST or None, instance=row)
    if form.is_valid():
        form.save()
        return redirect("template", pk)
    return _form_page(request, form, f"Edit {row}", row)


def template_copy(request: HttpRequest, pk: int) -> HttpResponse:
    """Copy a pattern under a new name."""
    row = get_object_or_404(BuildTemplate, pk=pk)
    form = CopyTemplateForm(request.POST or None, initial={"name": f"{row}, copy"})
    if form.is_valid():
        with refusals_on(form):
            copy = copy_template(template=row, name=form.cleaned_data["name"])
            return redirect("template", copy.pk)
    return _form_page(request, form, f"Copy {row}", row)


def template_stages(request: HttpRequest, pk: int) -> HttpResponse:
    """Change all stages of a pattern in one table."""
    row = get_object_or_404(BuildTemplate, pk=pk)
    rows = StageFormSet(
        request.POST or None,
        instance=row,
        prefix="stages",
        form_kwargs={"options": row.options.all()},
        initial=[{"position": _next_position(row) + number} for number in range(2)],
    )
    return _rows_page(request, rows, row, "shop/patterns/template_stages.html")


def template_options(request: HttpRequest, pk: int) -> HttpResponse:
    """Change the options of a pattern in one table."""
    row = get_object_or_404(BuildTemplate, pk=pk)
    rows = OptionFormSet(request.POST or None, instance=row, prefix="options")
    return _rows_page(request, rows, row, "shop/patterns/template_options.html")


def template_specification(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what is settled with the client, and what it usually is, in one table."""
    row = get_object_or_404(BuildTemplate, pk=pk)
    last = row.specs.aggregate(last=Max("position"))["last"] or 0
    rows = SpecFormSet(
        request.POST or None,
        instance=row,
        prefix="specs",
        form_kwargs={"lines": row.lines.all(), "options": row.options.all()},
        initial=[{"position": last + number} for number in (1, 2, 3)],
    )
    return _rows_page(request, rows, row, "shop/patterns/template_specification.html")


def template_line_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Add a material to a pattern."""
    row = get_object_or_404(BuildTemplate, pk=pk)
    last = row.lines.aggregate(last=Max("position"))["last"] or 0
    return _line_page(request, TemplateLine(template=row, position=last + 1), "New material line")


def template_line(request: HttpRequest, pk: int) -> HttpResponse:
    """Change one material of a pattern."""
    line = get_object_or_404(TemplateLine.objects.select_related("template"), pk=pk)
    return _line_page(request, line, line.name)


@require_POST
def template_line_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a material out of a pattern."""
    line = get_object_or_404(TemplateLine, pk=pk)
    line.delete()
    messages.success(request, f"{line.name} deleted from the template.")
    return redirect("template", line.template_id)


def _next_position(row: BuildTemplate) -> int:
    return (row.stages.aggregate(last=Max("position"))["last"] or 0) + 1


def _line_page(request: HttpRequest, line: TemplateLine, title: str) -> HttpResponse:
    form = TemplateLineForm(request.POST or None, instance=line, template=line.template)
    if form.is_valid():
        form.save()
        return redirect("template", line.template_id)
    context = {"form": form, "line": line, "template": line.template, "title": title}
    return render_form(request, "shop/patterns/template_line.html", context)


def _rows_page(request: HttpRequest, rows: Any, template: BuildTemplate, page: str) -> HttpResponse:
    if request.method == "POST" and rows.is_valid():
        with transaction.atomic():
            rows.save()
        return redirect("template", template.pk)
    status = 422 if request.method == "POST" else 200
    return render(request, page, {"rows": rows, "template": template}, status=status)


def _form_page(
    request: HttpRequest, form: forms.BaseForm, title: str, template: BuildTemplate | None
) -> HttpResponse:
    context = {"form": form, "title": title, "template": template}
    return render_form(request, "shop/patterns/template_form.html", context)
