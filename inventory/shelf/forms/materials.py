"""What is known of a material."""

from collections.abc import Sequence
from typing import Any

from django import forms

from inventory.base.calc.units import UNITS_BY_KIND
from inventory.base.forms import SectionedForm, TypedQuantityField, checked_file
from inventory.models import CostMethod, Family, KeptAs, Material, Place, Species, Supplier
from inventory.shelf.calc import PICTOGRAMS

UNIT_CHOICES = [
    (unit.code, unit.word)
    for kind, units in UNITS_BY_KIND.items()
    if kind != "piece"
    for unit in units
]
QUANTITIES = {"reorder_level": "Reorder level", "pack": "Pack size"}


class MaterialForm(SectionedForm, forms.ModelForm):
    """A kind of thing the shop stocks. How it is kept is fixed once it has a journal."""

    sections = (
        ("", False, ("name", "family")),
        ("Kept as", True, ("kept_as", "unit", "cost_method")),
        ("Buying", True, ("supplier", "lead_time_days", "reorder_level", "pack")),
        ("Wood", False, ("species",)),
        ("Shelf life", True, ("shelf_days", "open_days")),
        ("Cautions", False, ("caution", "pictograms", "data_sheet")),
        ("", False, ("note", "is_archived")),
    )

    unit = forms.ChoiceField(choices=UNIT_CHOICES, help_text="The unit you enter and see.")
    pictograms = forms.MultipleChoiceField(
        choices=PICTOGRAMS.items(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        label="Hazard pictograms",
        help_text="As on the data sheet.",
    )

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
            "species",
            "pack",
            "shelf_days",
            "open_days",
            "caution",
            "pictograms",
            "data_sheet",
            "note",
            "is_archived",
        ]
        widgets = {
            "caution": forms.Textarea(attrs={"rows": 3}),
            "note": forms.Textarea(attrs={"rows": 3}),
        }
        labels = {
            "lead_time_days": "Lead time, days",
            "cost_method": "Cost method",
            "is_archived": "Archived: no longer used",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["cost_method"].required = False
        self.fields["cost_method"].help_text = "A piece always has its own cost."
        for name, label in QUANTITIES.items():
            self.fields[name] = self._quantity_field(label)
        if self.instance.pk and self.instance.entries.exists():
            for name in ("kept_as", "cost_method"):
                self.fields[name].disabled = True

    def _quantity_field(self, label: str) -> forms.CharField:
        """Show in the unit that was; what is typed is read in the unit that is being chosen."""
        if self.instance.pk:
            return TypedQuantityField(unit_code=self.instance.unit, required=False, label=label)
        return forms.CharField(required=False, max_length=40, label=label)

    def clean_species(self) -> Species | None:
        """Return the species; wood that came in under a listing keeps it for good."""
        chosen: Species | None = self.cleaned_data["species"]
        if self.instance.pk is None:
            return chosen
        before = Species.objects.filter(materials=self.instance.pk).first()
        if before is None or before == chosen or not (before.listing or before.listed_since):
            return chosen
        if self.instance.lots.exists():
            raise forms.ValidationError(
                f"{self.instance.name} has come in as {before}, which is listed. Its pieces and "
                "their papers keep that species. Add a new material for other wood."
            )
        return chosen

    def clean_data_sheet(self) -> Any:
        return checked_file(self.cleaned_data.get("data_sheet"))

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        kept_as, unit = data.get("kept_as"), data.get("unit")
        if kept_as and unit and self._unit_fits(kept_as, unit):
            for name in QUANTITIES:
                self._read(name, data, unit)
        data["cost_method"] = CostMethod.fitting(kept_as or "", data.get("cost_method") or "")
        return data

    def _unit_fits(self, kept_as: str, unit: str) -> bool:
        fitting = UNITS_BY_KIND[kept_as]
        if unit in {one.code for one in fitting}:
            return True
        words = ", ".join(one.word for one in fitting)
        self.add_error("unit", f"A material kept as {kept_as} needs one of these units: {words}.")
        return False

    def _read(self, name: str, data: dict[str, Any], unit: str) -> None:
        if name in self.errors:
            return
        typed = self.data.get(self.add_prefix(name), "")
        try:
            data[name] = TypedQuantityField(unit_code=unit, required=False).clean(typed)
        except forms.ValidationError as error:
            self.add_error(name, error)


class ManyMaterialsForm(forms.Form):
    """What all ticked materials should have; what is left empty stays as it is."""

    ticked = forms.ModelMultipleChoiceField(Material.objects.all(), required=False)
    supplier = forms.ModelChoiceField(Supplier.objects.all(), required=False)
    family = forms.ModelChoiceField(Family.objects.all(), required=False)
    place = forms.ModelChoiceField(Place.objects.all(), required=False, label="Place of their lots")
    kept_as = forms.ChoiceField(
        choices=[("", "---------"), *KeptAs.choices], required=False, label="Kept as"
    )

    def __init__(self, *args: Any, families: Sequence[Family] = (), **more: Any) -> None:
        """`families` that are read already are offered as they are, and not read again."""
        super().__init__(*args, **more)
        if families:
            field: Any = self.fields["family"]
            field.choices = [("", field.empty_label), *((one.pk, f"{one}") for one in families)]

    def shown(self) -> list[Any]:
        """Return the fields beside the ticks, which stand in the list itself."""
        return [self[name] for name in ("supplier", "family", "place", "kept_as")]
