"""Weighing, moisture, meters, and the shop's rules."""

from decimal import Decimal
from typing import Any

from django import forms

from inventory.base.forms import MassField, SectionedForm, SizeField
from inventory.models import Meter, MeterSpecies, Species, StockRules
from inventory.shelf.forms.catalogue import DAY


class WeighForm(forms.Form):
    """One weighing."""

    grams = MassField(label="Mass", least=Decimal("0.001"))
    on = forms.DateField(label="Day", widget=DAY)


class MoistureForm(forms.Form):
    """One reading of a moisture meter, or an oven-dried sample."""

    raw = forms.DecimalField(label="Reading, percent", min_value=0, max_value=200, decimal_places=3)
    on = forms.DateField(label="Day", widget=DAY)
    by_oven = forms.BooleanField(
        label="By an oven-dried sample",
        required=False,
        help_text="Cut from the middle, weighed, dried until it loses no more, weighed again: "
        "100 x (wet - dry) / dry. It tells more than a meter.",
    )
    meter = forms.ModelChoiceField(Meter.objects.all(), required=False)
    celsius = forms.DecimalField(
        label="Temperature of the wood, °C",
        required=False,
        min_value=-40,
        max_value=100,
        decimal_places=3,
    )


class MeterForm(SectionedForm, forms.ModelForm):
    """A meter, with the figures of its own sheet."""

    sections = (
        ("", False, ("name",)),
        ("From its data sheet", True, ("slope", "offset", "per_degree", "calibrated_at")),
        ("", False, ("tested_on", "note")),
    )

    class Meta:
        model = Meter
        fields = ["name", "slope", "offset", "per_degree", "calibrated_at", "tested_on", "note"]
        widgets = {"tested_on": DAY, "note": forms.Textarea(attrs={"rows": 3})}


MeterSpeciesSet = forms.inlineformset_factory(
    Meter, MeterSpecies, fields=["species", "slope", "offset"], extra=3, can_delete=True
)


class SpeciesForm(forms.ModelForm):
    """What is known of a species."""

    class Meta:
        model = Species
        fields = [
            "name",
            "botanical_name",
            "density",
            "shrinkage_radial",
            "shrinkage_tangential",
            "fibre_saturation",
            "dust",
            "listing",
            "listed_since",
            "listing_read_on",
            "source",
            "is_verified",
        ]
        widgets = {
            "listing_read_on": DAY,
            "listed_since": DAY,
            "source": forms.Textarea(attrs={"rows": 3}),
        }

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        for name in ("shrinkage_radial", "shrinkage_tangential"):
            value = data.get(name)
            if value is not None and not 0 <= value < 40:
                self.add_error(name, "Shrinkage is from 0 to 40 percent.")
        return data


def _size(label: str) -> SizeField:
    return SizeField(label=label)


class RulesForm(SectionedForm, forms.ModelForm):
    """When wood is ready, how stock is cut, how labels lie on their sheet."""

    sections = (
        (
            "When wood is ready",
            True,
            ("ready_weighings", "ready_within", "ready_days_apart", "ready_near", "meter_doubt"),
        ),
        ("Air in the workshop", True, ("shop_celsius", "shop_humidity", "air_swing")),
        ("Pieces and packs", True, ("take_first", "warn_days")),
        ("Buying", False, ("service_level", "order_cost", "holding_percent")),
        ("Saw", True, ("kerf_mm", "trim_mm", "least_length_mm", "least_width_mm")),
        (
            "Labels, measured on your sheet",
            True,
            (
                "label_columns",
                "label_rows",
                "label_width_mm",
                "label_height_mm",
                "label_left_mm",
                "label_top_mm",
                "label_gap_across_mm",
                "label_gap_down_mm",
            ),
        ),
    )

    kerf_mm, trim_mm = _size("Kerf"), _size("Trim at each end")
    least_length_mm = _size("Shortest remnant to keep")
    least_width_mm = _size("Narrowest remnant to keep")
    label_width_mm, label_height_mm = _size("Label width"), _size("Label height")
    label_left_mm = _size("Left margin")
    label_top_mm = _size("Top margin")
    label_gap_across_mm = _size("Gap between labels, across")
    label_gap_down_mm = _size("Gap between labels, down")

    class Meta:
        model = StockRules
        exclude: list[str] = []
