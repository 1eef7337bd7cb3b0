"""Materials, pieces and lots: what is known of them; and the short lists they draw on."""

from decimal import Decimal
from typing import Any

from django import forms

from inventory.calc.money import is_currency
from inventory.calc.units import UNITS_BY_KIND
from inventory.forms.fields import QuantityField
from inventory.models import (
    SHELF_STATES,
    CostMethod,
    Family,
    KeptAs,
    Lot,
    Material,
    Piece,
    Place,
    Supplier,
)

DAY = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
UNIT_CHOICES = [
    (unit.code, unit.word)
    for kind, units in UNITS_BY_KIND.items()
    if kind != "piece"
    for unit in units
]


class PriceForm(forms.ModelForm):
    """What the next one costs, as asked on some day, and what one would fetch."""

    class Meta:
        model = Material
        fields = ["replacement_price", "replacement_checked_on", "realisable_price"]
        widgets = {"replacement_checked_on": DAY}
        labels = {
            "replacement_price": "Replacement price",
            "replacement_checked_on": "Price last checked",
            "realisable_price": "Realisable price",
        }


class MaterialForm(forms.ModelForm):
    """A kind of thing the shop stocks. How it is kept is fixed once it has a journal."""

    unit = forms.ChoiceField(choices=UNIT_CHOICES, help_text="It is entered and shown in this.")

    class Meta:
        model = Material
        fields = [
            "name",
            "family",
            "kept_as",
            "unit",
            "cost_method",
            "supplier",
            "lead_time_days",
            "reorder_level",
            "caution",
            "note",
            "is_archived",
        ]
        widgets = {
            "caution": forms.Textarea(attrs={"rows": 3}),
            "note": forms.Textarea(attrs={"rows": 3}),
        }
        labels = {
            "lead_time_days": "Lead time, days",
            "reorder_level": "Buy more below",
            "cost_method": "Cost of what is drawn",
            "is_archived": "Put away: no longer in use",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["cost_method"].required = False
        self.fields["cost_method"].help_text = "A piece always has its own cost."
        self.fields["reorder_level"] = forms.CharField(
            required=False, label="Buy more below", widget=forms.TextInput()
        )
        if self.instance.pk:
            unit = self.instance.unit
            self.fields["reorder_level"] = QuantityField(
                unit_code=unit, required=False, label="Buy more below"
            )
            self._fix_what_the_journal_rests_on()

    def _fix_what_the_journal_rests_on(self) -> None:
        if self.instance.entries.exists():
            for name in ("kept_as", "cost_method"):
                self.fields[name].disabled = True

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        kept_as, unit = data.get("kept_as"), data.get("unit")
        if kept_as and unit:
            self._check_unit(kept_as, unit)
            self._read_level(data, unit)
        if kept_as == KeptAs.PIECE:
            data["cost_method"] = CostMethod.ACTUAL
        elif data.get("cost_method") in {"", None, CostMethod.ACTUAL}:
            data["cost_method"] = CostMethod.FIFO
        return data

    def _check_unit(self, kept_as: str, unit: str) -> None:
        fitting = UNITS_BY_KIND[kept_as]
        if unit not in {one.code for one in fitting}:
            words = ", ".join(one.word for one in fitting)
            self.add_error("unit", f"What is kept as {kept_as} is shown in {words}.")

    def _read_level(self, data: dict[str, Any], unit: str) -> None:
        """Read the level in the unit that is being chosen, not in the one that was."""
        typed = self.data.get(self.add_prefix("reorder_level"), "")
        if "unit" in self.errors or "reorder_level" in self.errors:
            return
        try:
            data["reorder_level"] = QuantityField(unit_code=unit, required=False).clean(typed)
        except forms.ValidationError as error:
            self.add_error("reorder_level", error)


def _size(label: str) -> QuantityField:
    return QuantityField(unit_code="mm", label=label, required=False, least=Decimal("0.001"))


class PieceForm(forms.ModelForm):
    """What is known of one piece or set."""

    length_mm, width_mm = _size("Length"), _size("Width")
    thickness_mm = _size("Thickness, mean of a wedge")
    parts = forms.IntegerField(min_value=1, max_value=8)
    mass_g = QuantityField(
        unit_code="g", label="Mass", required=False, least=Decimal("0.001"), help_text="All parts."
    )

    class Meta:
        model = Piece
        fields = [
            "parts",
            "length_mm",
            "width_mm",
            "thickness_mm",
            "mass_g",
            "grade",
            "felled_on",
            "state",
        ]
        widgets = {"felled_on": DAY}
        labels = {"felled_on": "Felled or sawn"}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if self.instance.state in SHELF_STATES:
            choices = [(state.value, state.label) for state in SHELF_STATES]
            self.fields["state"].choices = choices  # type: ignore[attr-defined]
        else:
            del self.fields["state"]


class LotForm(forms.ModelForm):
    """Where a lot lies, when it was opened, when it expires."""

    class Meta:
        model = Lot
        fields = ["place", "opened_on", "expires_on", "note"]
        widgets = {"opened_on": DAY, "expires_on": DAY, "note": forms.Textarea(attrs={"rows": 3})}


class SupplierForm(forms.ModelForm):
    """Whoever sells to the shop."""

    class Meta:
        model = Supplier
        fields = ["name", "contact", "email", "currency", "lead_time_days", "note"]
        widgets = {
            "contact": forms.Textarea(attrs={"rows": 3}),
            "note": forms.Textarea(attrs={"rows": 3}),
        }
        labels = {"lead_time_days": "Lead time, days"}

    def clean_currency(self) -> str:
        code: str = self.cleaned_data["currency"]
        if code and not is_currency(code):
            raise forms.ValidationError(f"“{code}” is no currency of ISO 4217, such as USD.")
        return code


class PlaceForm(forms.ModelForm):
    """A shelf, drawer or rack."""

    class Meta:
        model = Place
        fields = ["name"]


class FamilyForm(forms.ModelForm):
    """A shelf of the mind."""

    class Meta:
        model = Family
        fields = ["name", "position"]
