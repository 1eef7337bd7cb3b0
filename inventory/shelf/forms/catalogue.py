"""Materials, pieces and lots: what is known of them; and the short lists they draw on."""

from decimal import Decimal

from django import forms

from inventory.base.calc.money import is_currency
from inventory.base.countries import is_country
from inventory.base.forms import MassesField, MassField, PriceField, SectionedForm, SizeField
from inventory.models import (
    Family,
    Lot,
    Material,
    Piece,
    Place,
    Supplier,
)

DAY = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class MaterialPriceForm(forms.ModelForm):
    """What the next one costs, as asked on some day, and what one would fetch."""

    class Meta:
        model = Material
        fields = ["replacement_price", "replacement_checked_on", "realisable_price"]
        widgets = {"replacement_checked_on": DAY}
        field_classes = {"replacement_price": PriceField, "realisable_price": PriceField}
        labels = {
            "replacement_price": "Replacement price",
            "replacement_checked_on": "Price last checked",
            "realisable_price": "Realisable value",
        }


def _size(label: str) -> SizeField:
    return SizeField(label=label, required=False, least=Decimal("0.001"))


class PieceForm(SectionedForm, forms.ModelForm):
    """What is known of one piece or set."""

    sections = (
        ("Size of each part", True, ("length_mm", "width_mm", "thickness_mm", "parts")),
        ("Mass", True, ("mass_g", "part_masses")),
        ("Quality", True, ("grade", "log", "felled_on", "is_ready")),
    )

    length_mm, width_mm = _size("Length"), _size("Width")
    thickness_mm = _size("Thickness, mean of a wedge")
    parts = forms.IntegerField(min_value=1, max_value=8)
    mass_g = MassField(
        label="Mass", required=False, least=Decimal("0.001"), help_text="All parts together."
    )

    part_masses = MassesField(label="Mass of each part", help_text="In order, such as 434 434.")

    class Meta:
        model = Piece
        fields = [
            "parts",
            "length_mm",
            "width_mm",
            "thickness_mm",
            "mass_g",
            "part_masses",
            "grade",
            "felled_on",
            "log",
            "is_ready",
        ]
        widgets = {"felled_on": DAY}
        labels = {"felled_on": "Felled or sawn on"}


class LotForm(forms.ModelForm):
    """Where a lot lies, when it was opened, when it expires."""

    class Meta:
        model = Lot
        fields = ["place", "opened_on", "expires_on", "country", "note"]
        widgets = {"opened_on": DAY, "expires_on": DAY, "note": forms.Textarea(attrs={"rows": 3})}

    def clean_country(self) -> str:
        code: str = self.cleaned_data["country"].upper()
        if code and not is_country(code):
            raise forms.ValidationError(f"“{code}” is not an ISO 3166 country code, such as CA.")
        return code


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
            raise forms.ValidationError(f"“{code}” is not an ISO 4217 currency code, such as USD.")
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
