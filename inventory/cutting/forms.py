"""What to cut, and with which saw."""

from decimal import Decimal

from django import forms

from inventory.base.forms import SizeField
from inventory.cutting.calc.costs import Loss, Saw
from inventory.cutting.queries import WantedPart
from inventory.models import StockRules
from inventory.shelf.forms.by_name import MaterialByName

MOST_PARTS = 30
LEAST = Decimal("0.001")


class SawForm(forms.Form):
    """The saw's terms."""

    kerf = SizeField(label="Kerf")
    trim = SizeField(label="Trim at each end")
    least_length = SizeField(label="Shortest remnant to keep")
    least_width = SizeField(label="Narrowest remnant to keep")

    def saw(self) -> Saw:
        return Saw(**self.cleaned_data)


def saw_of(rules: StockRules) -> dict[str, Decimal]:
    """Return the shop's usual saw, to begin a form with."""
    return {
        "kerf": rules.kerf_mm,
        "trim": rules.trim_mm,
        "least_length": rules.least_length_mm,
        "least_width": rules.least_width_mm,
    }


class CutPartForm(forms.Form):
    """Parts of one size."""

    material = MaterialByName(label="Becomes")
    length = SizeField(least=LEAST)
    width = SizeField(least=LEAST, required=False)
    count = forms.IntegerField(min_value=1, max_value=500, initial=1, label="Quantity")


class _CutParts(forms.BaseFormSet):
    def wanted(self) -> list[WantedPart]:
        """Return the lines that were filled in."""
        return [WantedPart(**form.cleaned_data) for form in self.forms if form.cleaned_data]


PartSet = forms.formset_factory(
    CutPartForm, formset=_CutParts, extra=1, max_num=MOST_PARTS, absolute_max=MOST_PARTS
)


class LoseForm(forms.Form):
    """How a spoilt part is booked."""

    kind = forms.ChoiceField(
        label="Cost of the loss",
        choices=[
            (Loss.NORMAL.value, "normal loss: added to the good parts of the same cut"),
            (Loss.ABNORMAL.value, "abnormal loss: an expense of its own"),
        ],
        widget=forms.RadioSelect,
        initial=Loss.NORMAL.value,
    )
    why = forms.CharField(label="Reason", max_length=300)

    def clean_kind(self) -> Loss:
        return Loss(self.cleaned_data["kind"])
