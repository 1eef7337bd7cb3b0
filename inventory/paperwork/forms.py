"""Photos and papers of a lot."""

from collections.abc import Mapping
from typing import Any

from django import forms

from inventory.base.forms import SectionedForm, checked_file
from inventory.models import Paper
from inventory.shelf.forms.catalogue import DAY

TELLING = ("number", "issued_by", "issued_on", "valid_until", "file", "note")
SAY_WHICH = "Enter at least one detail: the number, who issued it, a date, a note or the file."


class PhotoForm(forms.Form):
    """A picture of a piece: grain end, defect, label."""

    photo = forms.FileField(widget=forms.FileInput(attrs={"accept": "image/*"}))
    note = forms.CharField(max_length=200, required=False)


class PaperForm(SectionedForm, forms.ModelForm):
    """An invoice, a permit, a statement of origin."""

    sections = (
        ("", True, ("kind", "number", "issued_by", "issued_on", "valid_until")),
        ("File", False, ("file", "note")),
    )

    class Meta:
        model = Paper
        fields = ["kind", "number", "issued_by", "issued_on", "valid_until", "file", "note"]
        widgets = {"issued_on": DAY, "valid_until": DAY}

    def clean_file(self) -> Any:
        return checked_file(self.cleaned_data.get("file"))

    def clean(self) -> dict[str, Any] | None:
        said = super().clean()
        if not self.errors and not says_which(said or {}):
            self.add_error("number", SAY_WHICH)
        return said


def says_which(said: Mapping[str, Any]) -> bool:
    """Say whether anything is known of a paper beside its kind."""
    return any(said.get(name) for name in TELLING)
