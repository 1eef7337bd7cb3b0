"""Forms of the pages about estimates."""

from typing import Any

from django import forms

from inventory.base.forms import model_choice
from shop.models import BuildTemplate, EstimateSettings, RelatedTemplate


class SettingsForm(forms.ModelForm):
    """What every estimate takes for granted."""

    class Meta:
        model = EstimateSettings
        fields = [
            "low_percentile",
            "likely_is",
            "high_percentile",
            "worth",
            "spread_worth",
            "half_life_years",
            "least_each_side",
            "settled_number",
            "first_more",
            "common_share",
            "common_worth",
            "batch_doubt",
            "option_doubt",
            "learning_doubt",
            "template_doubt",
            "pooled_worth",
            "drift_chance",
        ]
        labels = {
            "low_percentile": "Low: percent of builds that take less",
            "high_percentile": "High: percent of builds that take less",
            "worth": "Weight of the likely hours, in past builds",
            "spread_worth": "Weight of the spread, in past builds",
            "half_life_years": "Years until a past build has half weight",
            "least_each_side": "Builds needed with and without an option or batch",
            "settled_number": "Build number at which learning ends",
            "first_more": "Extra hours of the first build, as a part of its hours",
            "common_share": "Shared deviation",
            "common_worth": "Weight of the shared deviation, in past builds",
            "batch_doubt": "Uncertainty of a batch’s saving",
            "option_doubt": "Uncertainty of an option’s hours",
            "learning_doubt": "Uncertainty of learning",
            "template_doubt": "Uncertainty of a whole template",
            "pooled_worth": "Weight of a template’s ranges, in past stages",
            "drift_chance": "Chance that hours changed since one of the builds",
        }
        help_texts = {
            "worth": "The larger, the longer the template’s figures count against past builds.",
            "half_life_years": "Leave empty to ignore age.",
            "least_each_side": "With fewer, the template’s figure is used.",
            "settled_number": "10 is common practice, no source.",
            "first_more": (
                "0.3 to 0.6 while jigs are made and habits found (common practice, no source); "
                "0 where likely hours are of a first build too."
            ),
            "template_doubt": "0.3: a third, more or less, until two builds show it. No source.",
            "pooled_worth": "The larger, the longer its ranges count. No source.",
            "drift_chance": (
                "As by a new method, until builds show it; 0 looks for none. No source."
            ),
            "common_share": (
                "0.3: a build that takes longer in one stage takes longer in the others by a "
                "third of that. Used until past builds show it; no source."
            ),
            "batch_doubt": "0.5: half of it, more or less. No source.",
            "option_doubt": "0.2: a fifth, more or less. No source.",
            "learning_doubt": (
                "0.1: the first may take a quarter more or less than the tenth. No source."
            ),
        }


class MadeBeforeForm(forms.ModelForm):
    """How many of a pattern were made before the books begin."""

    class Meta:
        model = BuildTemplate
        fields = ["made_before"]
        labels = {"made_before": "Made before you used Gramil"}
        help_texts = {"made_before": "So that the next build has its true number."}


class RelatedForm(forms.ModelForm):
    """Another pattern whose past builds count too."""

    class Meta:
        model = RelatedTemplate
        fields = ["related", "weight", "factor"]
        labels = {
            "related": "Template",
            "weight": "Weight of a build",
            "factor": "Hours factor",
        }
        help_texts = {
            "weight": "0.5: half a build of this template.",
            "factor": "1.2 for a larger instrument.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        template = self.instance.template
        taken = [template.pk, *template.related_templates.values_list("related", flat=True)]
        others = BuildTemplate.objects.exclude(pk__in=taken)
        model_choice(self, "related").queryset = others
        model_choice(self, "related").empty_label = "choose"
