"""The fields that several requests share. Quantities are in base units: mm, cm², ml, g, each."""

from decimal import Decimal
from typing import Any

from rest_framework import serializers

from inventory.base.calc.money import check_whole_units
from inventory.base.queries import home_currency
from inventory.base.refusals import Refusal
from inventory.models import Lot

LEAST = Decimal("0.001")


def quantity_field(**kwargs: Any) -> serializers.DecimalField:
    """Return a field for a quantity in base units, to the thousandth."""
    return serializers.DecimalField(max_digits=15, decimal_places=3, **kwargs)


class ApiAmountField(serializers.DecimalField):
    """Home money, in whole minor units of it."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(
            max_digits=14, decimal_places=3, min_value=kwargs.pop("min_value", Decimal(0)), **kwargs
        )

    def to_internal_value(self, data: Any) -> Decimal:
        amount: Decimal = super().to_internal_value(data)
        try:
            check_whole_units(amount, home_currency())
        except Refusal as refusal:
            raise serializers.ValidationError(refusal.sentence) from None
        return amount


class HolderField(serializers.RegexField):
    """The key of whoever stock is for, such as `build:12`."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(r"^[a-z][a-z-]*:[\w-]+\Z", max_length=40, **kwargs)
        self.error_messages["invalid"] = "A holder is a key such as build:12."


class ApiLotField(serializers.SlugRelatedField):
    """A lot or piece by its number, such as `T-0412`."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(
            slug_field="number", queryset=Lot.objects.select_related("material"), **kwargs
        )
