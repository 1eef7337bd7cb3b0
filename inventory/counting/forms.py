"""Counts: which shelf, and what lies there."""

from decimal import Decimal
from typing import Any

from django import forms

from inventory.base.forms import TypedQuantityField
from inventory.models import CountLine, DifferenceReason, Place
from inventory.shelf.forms.catalogue import DAY


class StartForm(forms.Form):
    """What is to be counted."""

    name = forms.CharField(max_length=80, label="Name", help_text="Such as: year end 2027.")
    place = forms.ModelChoiceField(Place.objects.all(), required=False, empty_label="everything")
    on = forms.DateField(
        required=False,
        widget=DAY,
        label="Recorded stock at the end of",
        help_text="Such as the last day of the year. Leave empty for now.",
    )
    is_blind = forms.BooleanField(
        required=False,
        label="Hide the recorded quantities (blind count)",
        help_text="In a blind count you can't copy the recorded quantity. You can show it later.",
    )


class CountLineForm(forms.Form):
    """What was found of one lot."""

    reason = forms.ChoiceField(
        choices=[("", "–"), *DifferenceReason.choices],
        required=False,
        label="Reason for difference",
    )
    note = forms.CharField(max_length=200, required=False)

    def __init__(self, data: Any, line: CountLine, difference: Decimal | None = None) -> None:
        initial = {"counted": line.counted, "reason": line.reason, "note": line.note}
        super().__init__(data, initial=initial, prefix=f"line-{line.pk}")
        self.fields["counted"] = TypedQuantityField(
            unit_code=line.material.unit, required=False, label="Quantity counted"
        )
        self.order_fields(["counted", "reason", "note"])
        self.line, self.difference = line, difference
