"""Numbers in forms without idle zeros: 0.15, not 0.150."""

from decimal import Decimal
from typing import Any

from django import forms

from inventory.forms.fields import PercentField
from inventory.templatetags.figures import plain_decimal


def show_plainly(form: forms.BaseForm) -> None:
    """Let the decimal fields of `form` show no more places than they need."""
    for field in form.fields.values():
        if isinstance(field, forms.DecimalField) and not isinstance(field, PercentField):
            field.prepare_value = _plain  # type: ignore[method-assign]


def _plain(value: Any) -> Any:
    return plain_decimal(value) if isinstance(value, Decimal) else value
