"""Forms of a template: its name, its options, its stages and its lines."""

from decimal import Decimal
from typing import Any, cast

from django import forms
from django.db.models import QuerySet

from inventory.base.calc.units import UNITS_BY_KIND
from inventory.base.forms import PercentField, SectionedForm, SizeField, model_choice
from inventory.shelf.forms.by_name import MaterialByName
from shop.base.forms import show_plainly
from shop.models import (
    BuildTemplate,
    TemplateLine,
    TemplateOption,
    TemplateSpec,
    TemplateStage,
)

UNITS = [
    (unit.code, f"{unit.word} ({kind})" if unit.code != "ea" else "each")
    for kind, units in UNITS_BY_KIND.items()
    for unit in units
    if kind != "piece"
]


class TemplateForm(forms.ModelForm):
    """What a pattern is called and what to remember about it."""

    class Meta:
        model = BuildTemplate
        fields = ["name", "description", "note_to_self", "is_archived"]
        labels = {"is_archived": "Archived: not offered for new quotes"}
        widgets = {
            "description": forms.Textarea(attrs={"rows": 3}),
            "note_to_self": forms.Textarea(attrs={"rows": 2}),
        }


class CopyTemplateForm(forms.Form):
    """The name of a copy."""

    name = forms.CharField(max_length=120)


def share_field(**kwargs: Any) -> PercentField:
    """Return a field for a share that templates keep to a thousandth."""
    return PercentField(decimal_places=1, initial=Decimal(0), **kwargs)


class TemplateStageForm(forms.ModelForm):
    """One stage as a row of a table."""

    saving_two = share_field(label="Saving in a batch of 2, %")
    saving_four = share_field(label="Saving in a batch of 4, %")

    class Meta:
        model = TemplateStage
        fields = [
            "position",
            "name",
            "hours_low",
            "hours_likely",
            "hours_high",
            "waiting_days",
            "waiting_for",
            "saving_two",
            "saving_four",
            "option",
        ]
        widgets = {
            name: forms.TextInput(attrs={"inputmode": "decimal"})
            for name in (
                "hours_low",
                "hours_likely",
                "hours_high",
                "waiting_days",
            )
        }

    def __init__(self, *args: Any, options: QuerySet[TemplateOption], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        show_plainly(self)
        field = cast(forms.ModelChoiceField, self.fields["option"])
        field.queryset = options
        # Read once for all rows of the table; the field by itself would ask for each.
        field.choices = [("", "always"), *[(one.pk, one.name) for one in options]]


StageFormSet = forms.inlineformset_factory(
    BuildTemplate, TemplateStage, form=TemplateStageForm, extra=2, can_delete=True
)


class OptionRows(forms.BaseInlineFormSet):
    """All options of a template; of a choice one at most is on unless said otherwise."""

    def clean(self) -> None:
        super().clean()
        on: dict[str, str] = {}
        for form in self.forms:
            given = getattr(form, "cleaned_data", {})
            choice = given.get("one_of")
            if not choice or not given.get("is_on") or given.get("DELETE"):
                continue
            if choice in on:
                form.add_error("is_on", f"{choice}: {on[choice]} is already on.")
            on[choice] = given["name"]


OptionFormSet = forms.inlineformset_factory(
    BuildTemplate,
    TemplateOption,
    formset=OptionRows,
    fields=["name", "is_on", "one_of"],
    extra=3,
    can_delete=True,
)


class TemplateSpecForm(forms.ModelForm):
    """One row of the specification as a row of a table."""

    class Meta:
        model = TemplateSpec
        fields = ["position", "name", "value", "unit", "choices", "is_asked", "line", "option"]
        labels = {"line": "Filled by the piece for", "choices": "Choices"}

    def __init__(
        self,
        *args: Any,
        lines: QuerySet[TemplateLine],
        options: QuerySet[TemplateOption],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        for name, rows, empty in (("line", lines, ""), ("option", options, "always")):
            field = cast(forms.ModelChoiceField, self.fields[name])
            field.queryset = rows
            # Read once for all rows of the table; the field by itself would ask for each.
            field.choices = [("", empty), *[(one.pk, one.name) for one in rows]]


SpecFormSet = forms.inlineformset_factory(
    BuildTemplate, TemplateSpec, form=TemplateSpecForm, extra=3, can_delete=True
)


def _size(label: str) -> SizeField:
    return SizeField(label=label, required=False)


class TemplateLineForm(SectionedForm, forms.ModelForm):
    """One material of a template with its waste rule."""

    sections = (
        ("", False, ("name", "material", "family")),
        ("Quantity", True, ("quantity", "unit", "stock_size")),
        (
            "Requirements for a piece",
            True,
            ("wood", "piece_length_mm", "piece_width_mm", "piece_thickness_mm", "piece_parts"),
        ),
        ("Stage and option", True, ("stage", "option", "position")),
        ("Waste", True, ("waste_rule", "waste_rate", "spares")),
        (
            "Cut from length",
            True,
            ("cut_length_mm", "stock_length_mm", "kerf_mm", "least_remnant_mm"),
        ),
        (
            "Starter price, until a material is chosen",
            True,
            ("cost_low", "cost_likely", "cost_high"),
        ),
    )

    material = MaterialByName(
        required=False,
        in_use=True,
        help_text="Once chosen, its replacement price replaces the starter price.",
    )
    unit = forms.ChoiceField(choices=UNITS)
    piece_length_mm = _size("Least length of a piece")
    piece_width_mm = _size("Least width")
    piece_thickness_mm = _size("Least thickness")
    cut_length_mm, stock_length_mm = _size("Length of one part"), _size("Stock length")
    kerf_mm, least_remnant_mm = (
        SizeField(label="Kerf"),
        SizeField(label="Smallest remnant to keep"),
    )
    waste_rate = share_field(label="Waste or reject rate", max_value=95)

    class Meta:
        model = TemplateLine
        fields = [
            "name",
            "material",
            "family",
            "quantity",
            "unit",
            "stock_size",
            "wood",
            "piece_length_mm",
            "piece_width_mm",
            "piece_thickness_mm",
            "piece_parts",
            "stage",
            "option",
            "waste_rule",
            "waste_rate",
            "spares",
            "cut_length_mm",
            "stock_length_mm",
            "kerf_mm",
            "least_remnant_mm",
            "cost_low",
            "cost_likely",
            "cost_high",
            "position",
        ]
        labels = {
            "piece_parts": "Parts of a piece",
            "cost_low": "Starter price, low",
            "cost_likely": "Starter price, likely",
            "cost_high": "Starter price, high",
        }
        help_texts = {
            "stock_size": "In your own words.",
        }

    def __init__(self, *args: Any, template: BuildTemplate, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        show_plainly(self)
        stage, option = (model_choice(self, name) for name in ("stage", "option"))
        stage.queryset = template.stages.all()
        option.queryset = template.options.all()
        option.empty_label = "always"
