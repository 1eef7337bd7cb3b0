"""Forms of the pages about estimates."""

from typing import Any

from django import forms

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
            "common_share",
            "common_worth",
            "batch_doubt",
            "option_doubt",
            "learning_doubt",
        ]
        labels = {
            "low_percentile": "Low: of 100 builds, so many take less",
            "high_percentile": "High: of 100 builds, so many take less",
            "worth": "The likely figure is worth so many past builds",
            "spread_worth": "The spread from low to high is worth so many past builds",
            "half_life_years": "A past build counts half after so many years",
            "least_each_side": "An option or a batch: builds needed with it, and without",
            "settled_number": "From this number in its pattern on, a build teaches nothing more",
            "common_share": "Part of a surprise that the whole build shares",
            "common_worth": "That part is worth so many past builds",
            "batch_doubt": "A batch: how much of its saving may not be real",
            "option_doubt": "An option: how far its hours may be off",
            "learning_doubt": "Learning: how far hours may fall while a pattern is new",
        }
        help_texts = {
            "worth": "The more, the longer the template’s figures hold out against past builds.",
            "half_life_years": "Empty when age does not matter.",
            "least_each_side": "With fewer, the template’s own figure stands.",
            "settled_number": "10 is common practice, no source.",
            "common_share": (
                "0.3: a build that runs long in one stage runs long in the others by a third of "
                "that. Until past builds say; no source."
            ),
            "batch_doubt": "0.5: half of it, either way. No source.",
            "option_doubt": "0.2: a fifth, either way. No source.",
            "learning_doubt": (
                "0.1: the first may take a quarter more than the tenth, or less. No source."
            ),
        }


class MadeBeforeForm(forms.ModelForm):
    """How many of a pattern were made before the books begin."""

    class Meta:
        model = BuildTemplate
        fields = ["made_before"]
        labels = {"made_before": "Made before these books begin"}
        help_texts = {"made_before": "So that the next one has its true number in the pattern."}


class RelatedForm(forms.ModelForm):
    """Another pattern whose past builds count too."""

    class Meta:
        model = RelatedTemplate
        fields = ["related", "weight", "factor"]
        labels = {
            "related": "Pattern",
            "weight": "One build of it counts as",
            "factor": "It takes so many times the hours",
        }
        help_texts = {
            "weight": "0.5: as half a build of this pattern.",
            "factor": "1.2 for a larger instrument.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        template = self.instance.template
        taken = [template.pk, *template.related_templates.values_list("related", flat=True)]
        others = BuildTemplate.objects.exclude(pk__in=taken)
        self.fields["related"].queryset = others  # type: ignore[attr-defined]
        self.fields["related"].empty_label = "choose"  # type: ignore[attr-defined]
