"""The specification of a draft as a table."""

from typing import Any

from django import forms

from quotes.models import Quote, QuoteMaterial
from quotes.pricing.queries.choices import option_names
from quotes.quoting.services.specification import SpecAsked

EMPTY_ROWS = 3


class SpecForm(forms.Form):
    """One row; its choices are offered while typing, and anything else may be typed."""

    name = forms.CharField(max_length=80, required=False)
    value = forms.CharField(max_length=160, required=False)
    unit = forms.CharField(max_length=12, required=False)
    is_asked = forms.BooleanField(label="Asked for", required=False)
    material = forms.ModelChoiceField(
        QuoteMaterial.objects.none(), label="Filled by the piece for", required=False
    )
    option = forms.ChoiceField(required=False)
    choices_typed = forms.CharField(max_length=300, required=False, widget=forms.HiddenInput)

    def __init__(
        self, *args: Any, lines: list[tuple[Any, str]], options: list[str], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        material, option = self.fields["material"], self.fields["option"]
        material.queryset = QuoteMaterial.objects.all()  # type: ignore[attr-defined]
        material.choices = [("", ""), *lines]  # type: ignore[attr-defined]
        option.choices = [("", "always"), *((name, name) for name in options)]  # type: ignore[attr-defined]
        self.list_id = f"{self.prefix}-choices"
        if self.choices:
            self.fields["value"].widget.attrs["list"] = self.list_id

    @property
    def choices(self) -> list[str]:
        """What is usually chosen."""
        typed = self["choices_typed"].value() or ""
        return [word.strip() for word in typed.split(";") if word.strip()]

    def asked(self) -> SpecAsked:
        """Return the row as it is to be."""
        data = dict(self.cleaned_data)
        return SpecAsked(choices=data.pop("choices_typed"), **data)


SpecRows = forms.formset_factory(SpecForm, extra=EMPTY_ROWS)


def spec_rows_form(quote: Quote, posted: Any) -> Any:
    """Return the table for a draft, filled from its rows."""
    specs = [
        {
            "name": row.name,
            "value": row.value,
            "unit": row.unit,
            "is_asked": row.is_asked,
            "material": row.material_id,
            "option": row.option,
            "choices_typed": row.choices,
        }
        for row in quote.specs.all()
    ]
    lines = [(row.pk, row.name) for row in quote.materials.all()]
    return SpecRows(
        posted,
        initial=specs,
        prefix="specs",
        form_kwargs={"lines": lines, "options": option_names(quote)},
    )
