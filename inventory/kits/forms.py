"""Made-up stock: of what, and how many."""

from decimal import Decimal
from typing import Any

from django import forms

from inventory.base.calc.typed import read_quantity
from inventory.base.calc.units import from_base
from inventory.base.forms import TypedQuantityField, choice
from inventory.base.refusals import Refusal
from inventory.models import Material, Recipe
from inventory.shelf.forms.by_name import MaterialByName
from inventory.shelf.forms.moves import LEAST, THE_SHOP
from inventory.shelf.queries.one_material import holders
from inventory.templatetags.figures import plain_decimal

MOST_PARTS = 40


class NewRecipeForm(forms.Form):
    """What is made up."""

    material = MaterialByName(label="Kit")

    def clean_material(self) -> Material:
        material: Material = self.cleaned_data["material"]
        if material.is_piece:
            raise forms.ValidationError(
                "Choose a material kept as a count. Pieces are cut, not made."
            )
        if Recipe.objects.filter(material=material).exists():
            raise forms.ValidationError(f"{material} already has a list of parts.")
        return material


class RecipePartForm(forms.Form):
    """So much of a material in one."""

    material = MaterialByName()
    quantity = forms.CharField(
        max_length=40,
        widget=forms.TextInput(attrs={"inputmode": "decimal"}),
        label="Quantity in one",
    )

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        material, typed = data.get("material"), data.get("quantity")
        if material is None or not typed:
            return data
        try:
            data["quantity"] = read_quantity(typed, material.unit)
        except Refusal as refusal:
            self.add_error("quantity", refusal.sentence)
        return data


class _RecipeParts(forms.BaseFormSet):
    def parts(self) -> list[tuple[Material, Decimal]]:
        """Return the lines that were filled in."""
        filled = [form.cleaned_data for form in self.forms if form.cleaned_data]
        return [(row["material"], row["quantity"]) for row in filled]


PartSet = forms.formset_factory(
    RecipePartForm, formset=_RecipeParts, extra=2, max_num=MOST_PARTS, absolute_max=MOST_PARTS
)


def part_rows(recipe: Recipe) -> list[dict[str, str]]:
    """Return the parts of a recipe to begin a form with."""
    return [
        {
            "material": part.material.name,
            "quantity": plain_decimal(round(from_base(part.quantity, part.material.unit), 6)),
        }
        for part in recipe.parts.select_related("material")
    ]


class MakeForm(forms.Form):
    """How many are made, for the shelf or straight for somebody."""

    holder = forms.ChoiceField(label="For", required=False)

    def __init__(self, *args: Any, material: Material, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["quantity"] = TypedQuantityField(
            unit_code=material.unit, least=LEAST, label="Quantity", initial=Decimal(1)
        )
        choice(self, "holder").choices = [
            (THE_SHOP[0], "stock"),
            *holders(),
        ]
        self.order_fields(["quantity", "holder"])
