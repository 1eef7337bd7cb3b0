"""What the page of a new change asks."""

from typing import Any

from django import forms

from inventory.base.calc.units import to_base
from inventory.base.forms import SectionedForm
from inventory.models import Material
from quotes.base.fields import AmountField, NumberField, own_rate_field, text_area
from quotes.changes.services import MaterialAsked
from quotes.models import LineTax, Quote
from quotes.pricing.pages import with_rates
from quotes.pricing.queries.taxing import has_rates
from shop.models import BuildStage

NOTHING_IF_EMPTY = {"hours", "cost", "days_added"}
SHELF_ROWS = ("1", "2", "3")
"""How many materials can be named; what else is bought is one sum."""


def shelf_row(row: str) -> tuple[forms.Field, forms.Field]:
    """Return the fields for one material of the shop and how much of it is taken."""
    material = forms.ModelChoiceField(
        Material.objects.order_by("name"),
        label=f"Material {row}",
        required=False,
        empty_label="none",
    )
    quantity = NumberField(
        label=f"How much of material {row}",
        required=False,
        help_text="In the unit that it is kept in.",
    )
    return material, quantity


class ChangeForm(SectionedForm, forms.Form):
    """What changes, what it takes, and what it costs."""

    title = forms.CharField(label="What changes", max_length=160)
    words = forms.CharField(label="Specification from now on", required=False, widget=text_area(4))
    hours = NumberField(unit="h", required=False, decimal_places=2)
    before = forms.ModelChoiceField(
        BuildStage.objects.none(),
        label="Made before the stage",
        required=False,
        empty_label="last of all",
        help_text="Once it is agreed its hours are a stage of the build.",
    )
    material_1, quantity_1 = shelf_row("1")
    material_2, quantity_2 = shelf_row("2")
    material_3, quantity_3 = shelf_row("3")
    cost = AmountField(
        label="Other materials and outside work, at cost",
        required=False,
        help_text="Beside what is taken from the shelf.",
    )
    price = AmountField(
        label="Price, net",
        min_value=-999999999,
        required=False,
        help_text="In the client's money; below 0: less. Empty: worked out from hours, materials "
        "and cost, at the quote's rate and markup.",
    )
    tax_kind = forms.ChoiceField(
        label="Taxed",
        choices=[("", "as the instrument"), *LineTax.choices[1:]],
        required=False,
        help_text="What may have a rate of its own is for the accountant to say.",
    )
    tax_rate = own_rate_field()
    days_added = forms.IntegerField(label="Days later", required=False, min_value=-365)
    is_paid_ahead = forms.BooleanField(label="Paid before it is made", required=False)
    is_billed = forms.BooleanField(
        label="Billed; off: given away, and told so in the close-out", required=False, initial=True
    )
    sections = (
        ("What changes", False, ("title", "words")),
        ("What it takes", True, ("hours", "before")),
        ("From the shelf, put aside once it is agreed", True, ("material_1", "quantity_1")),
        ("", True, ("material_2", "quantity_2")),
        ("", True, ("material_3", "quantity_3")),
        ("What it costs", True, ("cost", "price", "tax_kind", "tax_rate")),
        ("When", False, ("days_added", "is_paid_ahead", "is_billed")),
    )

    def __init__(self, *args: Any, quote: Quote, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        stages = BuildStage.objects.filter(build=quote.build_id, finished_at=None)
        self.fields["before"].queryset = stages  # type: ignore[attr-defined]
        if has_rates(quote):
            with_rates(self)
        else:
            del self.fields["tax_kind"], self.fields["tax_rate"]

    def clean(self) -> dict[str, Any]:
        """Gather the materials; each needs a quantity, and a quantity its material."""
        data = super().clean() or {}
        asked = []
        for row in SHELF_ROWS:
            material, quantity = (
                data.pop(f"material_{row}", None),
                data.pop(f"quantity_{row}", None),
            )
            if material and quantity:
                base = to_base(quantity, material.unit)
                asked.append(MaterialAsked(material=material, quantity=base))
            elif material:
                self.add_error(f"quantity_{row}", "How much of it? More than 0.")
            elif quantity:
                self.add_error(f"material_{row}", "Of which material?")
        return data | {"materials": asked}

    def asked(self) -> dict[str, Any]:
        """Return what was asked, nothing typed taken as 0 where that is meant."""
        return {
            name: 0 if value is None and name in NOTHING_IF_EMPTY else value
            for name, value in self.cleaned_data.items()
        }
