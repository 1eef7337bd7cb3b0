"""What the page of a new change asks."""

from typing import Any

from django import forms

from inventory.base.calc.units import to_base
from inventory.base.forms import AmountField, SectionedForm, Sections, model_choice
from inventory.shelf.forms.by_name import MaterialByName
from quotes.base.fields import NumberField, own_rate_field, text_area
from quotes.changes.queries import rows_to_change
from quotes.changes.services import MaterialAsked
from quotes.models import LineTax, Quote
from quotes.pricing.pages import with_rates
from quotes.pricing.queries.taxing import has_rates
from shop.models import BuildStage
from shop.patterns.calc import SpecRow

NOTHING_IF_EMPTY = {"hours", "cost", "days_added"}
LEFT_OUT = "-"
"""What is typed to leave a row of the specification out."""
SPECIFICATION = f"New specification: fill in only what changes; “{LEFT_OUT}” leaves a row out"
SHELF_ROWS = ("1", "2", "3")
"""How many materials can be named; what else is bought is one sum."""


def shelf_row(row: str) -> tuple[forms.Field, forms.Field]:
    """Return the fields for one material of the shop and how much of it is taken."""
    material = MaterialByName(label=f"Material {row}", required=False)
    quantity = NumberField(
        label=f"Quantity of material {row}",
        required=False,
        help_text="In the unit of the material.",
    )
    return material, quantity


class ChangeForm(SectionedForm, forms.Form):
    """What changes, what it takes, and what it costs."""

    title = forms.CharField(label="What changes", max_length=160)
    words = forms.CharField(label="In your own words", required=False, widget=text_area(4))
    new_name = forms.CharField(label="Another row, its name", max_length=80, required=False)
    new_value = forms.CharField(label="What it is to say", max_length=160, required=False)
    hours = NumberField(unit="h", required=False, decimal_places=2)
    before = forms.ModelChoiceField(
        BuildStage.objects.none(),
        label="Made before stage",
        required=False,
        empty_label="last",
        help_text="Once agreed, its hours become a stage of the build.",
    )
    material_1, quantity_1 = shelf_row("1")
    material_2, quantity_2 = shelf_row("2")
    material_3, quantity_3 = shelf_row("3")
    cost = AmountField(
        label="Other materials and outside work, at cost",
        required=False,
        help_text="Not counting the stock above.",
    )
    price = AmountField(
        another_currency=True,
        label="Price, net",
        min_value=-999999999,
        required=False,
        help_text="In the client’s currency; below 0 for a reduction. Empty: calculated from "
        "hours, materials and cost, at the quote’s rate and markup.",
    )
    tax_kind = forms.ChoiceField(
        label="Tax",
        choices=[("", "as the instrument"), *LineTax.choices[1:]],
        required=False,
        help_text="Ask your accountant what may have its own rate.",
    )
    tax_rate = own_rate_field()
    days_added = forms.IntegerField(label="Extra days", required=False, min_value=-365)
    is_paid_ahead = forms.BooleanField(label="Paid in advance", required=False)
    is_billed = forms.BooleanField(
        label="Billed; if off, free of charge and shown so in the close-out",
        required=False,
        initial=True,
    )
    sections: Sections = (
        ("What changes", False, ("title",)),
        (SPECIFICATION, True, ()),
        ("", True, ("new_name", "new_value")),
        ("", False, ("words",)),
        ("Hours and materials", True, ("hours", "before")),
        ("From stock, reserved once agreed", True, ("material_1", "quantity_1")),
        ("", True, ("material_2", "quantity_2")),
        ("", True, ("material_3", "quantity_3")),
        ("Price", True, ("cost", "price", "tax_kind", "tax_rate")),
        ("Payment and dates", False, ("days_added", "is_paid_ahead", "is_billed")),
    )

    def __init__(self, *args: Any, quote: Quote, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._ask_rows(quote)
        stages = BuildStage.objects.filter(build=quote.build_id, finished_at=None)
        model_choice(self, "before").queryset = stages
        if has_rates(quote):
            with_rates(self)
        else:
            del self.fields["tax_kind"], self.fields["tax_rate"]

    def _ask_rows(self, quote: Quote) -> None:
        """Add a field for each row of the specification as it is now."""
        self.rows = {f"row_{place}": row for place, row in enumerate(rows_to_change(quote))}
        for name, row in self.rows.items():
            self.fields[name] = forms.CharField(
                label=row.name,
                max_length=160,
                required=False,
                help_text=f"Now {row.words}.",
            )
        self.sections = tuple(
            (title, across, tuple(self.rows) if title == SPECIFICATION else names)
            for title, across, names in self.sections
        )

    def _replaced(self, data: dict[str, Any]) -> list[SpecRow]:
        new = [
            SpecRow(name=row.name, value="" if typed == LEFT_OUT else typed, unit=row.unit)
            for name, row in self.rows.items()
            if (typed := data.pop(name, "").removesuffix(row.unit).strip())
        ]
        name, value = data.pop("new_name", ""), data.pop("new_value", "")
        return [*new, SpecRow(name=name, value=value)] if name or value else new

    def clean(self) -> dict[str, Any]:
        """Gather the rows and the materials; each needs a quantity, and a quantity its material."""
        data = super().clean() or {}
        replaces = self._replaced(data)
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
                self.add_error(f"quantity_{row}", "Give a quantity above 0.")
            elif quantity:
                self.add_error(f"material_{row}", "Choose the material.")
        return data | {"materials": asked, "replaces": replaces}

    def asked(self) -> dict[str, Any]:
        """Return what was asked, nothing typed taken as 0 where that is meant."""
        return {
            name: 0 if value is None and name in NOTHING_IF_EMPTY else value
            for name, value in self.cleaned_data.items()
        }
