"""A material by its name, found while it is typed: a list to choose from would be years long."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.urls import reverse_lazy

from inventory.models import Material
from inventory.shelf.queries.stock import materials_named


class MaterialByName(forms.CharField):
    """A material by its name, with suggestions while it is typed.

    in_use: a material that is archived is refused.
    """

    def __init__(self, *, in_use: bool = False, **kwargs: Any) -> None:
        attrs = {
            "list": "material-names",
            "autocomplete": "off",
            "hx-get": reverse_lazy("material_names"),
            "hx-trigger": "input changed delay:200ms",
            "hx-target": "#material-names",
        }
        self.in_use = in_use
        super().__init__(max_length=120, widget=forms.TextInput(attrs=attrs), **kwargs)

    def prepare_value(self, value: Any) -> Any:
        """Show the name of a material, which a model's form gives by its key."""
        if isinstance(value, int):
            return Material.objects.filter(pk=value).values_list("name", flat=True).first()
        return value.name if isinstance(value, Material) else value

    def has_changed(self, initial: Any, data: Any) -> bool:
        return super().has_changed(self.prepare_value(initial), data)

    def clean(self, value: Any) -> Any:
        typed = super().clean(value)
        if not typed:
            return None
        found = Material.objects.filter(name__iexact=typed).first()
        if found is None:
            near = ", ".join(str(row) for row in materials_named(typed, 3))
            hint = f" Did you mean: {near}?" if near else " Add it as a new material first."
            raise ValidationError(f"There is no material “{typed}”.{hint}")
        if self.in_use and found.is_archived:
            raise ValidationError(f"{found} is archived. Choose a material that is in use.")
        return found
