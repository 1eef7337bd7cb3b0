"""What forms of the workshop share: refusals shown, options asked, plain numbers."""

from collections.abc import Callable
from decimal import Decimal
from functools import partial
from typing import Any

from django import forms
from django.http import QueryDict

from inventory.base.forms import PercentField, typed_plainly
from inventory.templatetags.figures import plain_decimal


def options_asked(asked: QueryDict, name: str = "option") -> list[str]:
    """Return what is ticked in the field `name`, and taken in the fields `name-…` of choices."""
    fields = [field for field in asked if field == name or field.startswith(f"{name}-")]
    return [option for field in fields for option in asked.getlist(field)]


def show_plainly(form: forms.BaseForm) -> None:
    """Let the decimal fields of `form` show no more places than they need, and take a comma."""
    for field in form.fields.values():
        if isinstance(field, forms.DecimalField) and not isinstance(field, PercentField):
            field.prepare_value = _plain  # type: ignore[method-assign]
            field.to_python = partial(_read, field.to_python)  # type: ignore[method-assign]


def _read(to_python: Callable[[Any], Any], value: Any) -> Any:
    return to_python(typed_plainly(value))


def _plain(value: Any) -> Any:
    return plain_decimal(value) if isinstance(value, Decimal) else value
