"""What may go wrong in the stages of a template, and what it then costs."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.views.decorators.http import require_POST

from inventory.base.forms import model_choice
from inventory.base.pages import render_form
from shop.base.forms import show_plainly
from shop.models import BuildTemplate, TemplateFailure


class TemplateFailureForm(forms.ModelForm):
    """One thing that goes wrong: how often, what is redone, what is lost."""

    class Meta:
        model = TemplateFailure
        fields = ["name", "stage", "one_in", "hours", "redo_from", "lost"]
        labels = {
            "name": "Failure",
            "stage": "Stage",
            "one_in": "One build in",
            "hours": "Hours of rework",
            "redo_from": "Rework from stage",
            "lost": "Material lost each time",
        }
        help_texts = {
            "one_in": "20: one build in 20.",
            "hours": "Leave empty to count all hours from that stage to the stage of the failure.",
            "lost": "One more of each is drawn. A line’s own reject rate is not counted again.",
        }
        widgets = {
            "name": forms.TextInput(attrs={"placeholder": "a rib snaps in bending"}),
            "lost": forms.CheckboxSelectMultiple,
        }

    def __init__(self, *args: Any, template: BuildTemplate, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        show_plainly(self)
        names = ("stage", "redo_from", "lost")
        stage, redo_from, lost = (model_choice(self, name) for name in names)
        stage.queryset = redo_from.queryset = template.stages.all()
        redo_from.empty_label = "that stage only"
        lost.queryset = template.lines.all()


def template_failure_new(request: HttpRequest, pk: int) -> HttpResponse:
    """Say what may go wrong in a stage of a pattern."""
    template = get_object_or_404(BuildTemplate, pk=pk)
    return _page(request, template, TemplateFailure(), "New failure")


def template_failure(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what may go wrong in a stage."""
    failure = get_object_or_404(TemplateFailure.objects.select_related("stage__template"), pk=pk)
    return _page(request, failure.stage.template, failure, failure.name)


@require_POST
def template_failure_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take out what does not go wrong any more."""
    failure = get_object_or_404(TemplateFailure.objects.select_related("stage"), pk=pk)
    failure.delete()
    messages.success(request, f"“{failure.name}” deleted from the template.")
    return redirect("template", failure.stage.template_id)


def _page(
    request: HttpRequest, template: BuildTemplate, failure: TemplateFailure, title: str
) -> HttpResponse:
    form = TemplateFailureForm(request.POST or None, instance=failure, template=template)
    if form.is_valid():
        form.save()
        return redirect("template", template.pk)
    context = {"form": form, "failure": failure, "template": template, "title": title}
    return render_form(request, "shop/patterns/template_failure.html", context)
