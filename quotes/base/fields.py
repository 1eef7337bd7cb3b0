"""Form fields of the books: money, numbers and days."""

from decimal import Decimal
from typing import Any

from django import forms

from inventory.base.forms import PercentField, TypedDecimalField


class NumberField(TypedDecimalField):
    """A plain number such as hours or a quantity."""

    def __init__(self, *, unit: str = "", **kwargs: Any) -> None:
        kwargs.setdefault("min_value", 0)
        kwargs.setdefault("max_value", Decimal("999999999"))
        kwargs.setdefault("widget", forms.TextInput(attrs={"inputmode": "decimal"}))
        super().__init__(**kwargs)
        self.unit = unit

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, Decimal):
            text = f"{value:f}"
            return text.rstrip("0").rstrip(".") if "." in text else text
        return value


def day_field(**kwargs: Any) -> forms.DateField:
    """Return a field for a calendar day."""
    return forms.DateField(
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"), **kwargs
    )


def own_rate_field() -> PercentField:
    """Return a field for the tax rate of one row."""
    return PercentField(label="Own tax rate", required=False, max_value=99)


def text_area(rows: int) -> forms.Textarea:
    """Return a text area of a height."""
    return forms.Textarea(attrs={"rows": rows})
