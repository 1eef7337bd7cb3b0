"""Decimals stored as whole numbers of their smallest unit, so that SQL adds them up exactly."""

from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import Value
from django.db.models.expressions import Combinable

from inventory.base.calc.money import STORED_PLACES
from inventory.base.calc.units import QUANTITY_PLACES


class TidyDecimalField(forms.DecimalField):
    """A number that is shown without idle zeros: 2.9, not 2.900."""

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, Decimal) and value.is_finite():
            return f"{value.normalize():f}"
        return value


class WholeUnitsField(models.BigIntegerField):
    """A `Decimal` with a fixed number of places, kept as an integer of the last place.

    SQLite keeps a DecimalField as a binary float and its sums drift; integers don't.
    """

    # What mypy's Django plugin takes for the values of such a field.
    _pyi_private_set_type: Decimal | int | str | Combinable  # type: ignore[assignment]
    _pyi_private_get_type: Decimal  # type: ignore[assignment]

    places = 0
    max_digits = 18

    @property
    def decimal_places(self) -> int:
        return self.places

    def to_python(self, value: Any) -> Decimal | None:
        if value is None or isinstance(value, Decimal):
            return value
        try:
            number = Decimal(str(value))
        except ArithmeticError:
            raise ValidationError(f"“{value}” is not a number.") from None
        if not number.is_finite():
            raise ValidationError(f"“{value}” is not a number.")
        return number

    def from_db_value(self, value: Any, expression: Any, connection: Any) -> Decimal | None:
        return None if value is None else Decimal(value).scaleb(-self.places)

    def get_prep_value(self, value: Any) -> Any:
        if value is None or hasattr(value, "resolve_expression"):
            return value
        whole = Decimal(value).scaleb(self.places)
        if whole != whole.to_integral_value():
            raise ValueError(f"{value} has more than {self.places} decimal places.")
        return int(whole)

    def value_to_string(self, obj: models.Model) -> str:
        return str(self.value_from_object(obj))

    def formfield(self, **kwargs: Any) -> Any:
        return models.Field.formfield(
            self, form_class=TidyDecimalField, decimal_places=self.places, **kwargs
        )


class MoneyField(WholeUnitsField):
    """An amount of money, whole minor units of its currency."""

    places = STORED_PLACES


class QuantityField(WholeUnitsField):
    """A quantity in the base unit of its material."""

    places = QUANTITY_PLACES


def quantity_value(amount: Decimal) -> Value:
    """Wrap a quantity for use in an SQL expression beside a `QuantityField`."""
    return Value(amount, output_field=QuantityField())


def money_value(amount: Decimal) -> Value:
    """Wrap an amount for use in an SQL expression beside a `MoneyField`."""
    return Value(amount, output_field=MoneyField())
