"""Photos and papers of a lot."""

from typing import Any

from django import forms

from inventory.base.forms import SectionedForm, checked_file
from inventory.models import Paper
from inventory.shelf.forms.catalogue import DAY


class PhotoForm(forms.Form):
    """A picture of a piece: grain end, defect, label."""

    photo = forms.FileField(widget=forms.FileInput(attrs={"accept": "image/*"}))
    note = forms.CharField(max_length=200, required=False)


class PaperForm(SectionedForm, forms.ModelForm):
    """An invoice, a permit, a statement of origin."""

    sections = (
        ("", True, ("kind", "number", "issued_by", "issued_on", "valid_until")),
        ("The copy", False, ("file", "note")),
    )

    class Meta:
        model = Paper
        fields = ["kind", "number", "issued_by", "issued_on", "valid_until", "file", "note"]
        widgets = {"issued_on": DAY, "valid_until": DAY}

    def clean_file(self) -> Any:
        return checked_file(self.cleaned_data.get("file"))
