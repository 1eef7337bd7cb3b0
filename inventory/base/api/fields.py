"""The fields that several requests share. Quantities are in base units: mm, cm², ml, g, each."""

import re
from datetime import date
from decimal import Decimal
from typing import Any

from django.utils import timezone
from rest_framework import serializers
from rest_framework.fields import empty

from inventory.base.calc.likely import FIRST_DAY, happened_by
from inventory.base.calc.money import check_whole_units
from inventory.base.queries import home_currency
from inventory.base.refusals import Refusal
from inventory.models import Lot

LEAST = Decimal("0.001")
MOST_MARKUP = Decimal(3)
PLAIN_NUMBER = re.compile(r"-?(\d+(\.\d*)?|\.\d+)", re.ASCII)


class DecimalField(serializers.DecimalField):
    """A decimal in plain digits: `1e3`, `NaN` and digits of other scripts are refused."""

    def to_internal_value(self, data: Any) -> Decimal:
        if isinstance(data, str) and not PLAIN_NUMBER.fullmatch(data.strip()):
            self.fail("invalid")
        value: Decimal = super().to_internal_value(data)
        return value


class ShareField(DecimalField):
    """A share of 1, such as 0.20 for 20 %; a percentage by mistake is told what was meant."""

    def __init__(self, **kwargs: Any) -> None:
        shape: dict[str, Any] = {"max_digits": 5, "decimal_places": 4}
        limits = {"min_value": Decimal(0), "max_value": Decimal(1)}
        self.least, self.most = ((limits | kwargs)[name] for name in limits)
        words = f"A share: 0.20 is 20 %. From {self.least} to {self.most}."
        more = kwargs.pop("help_text", "")
        super().__init__(**shape | limits | kwargs, help_text=f"{more} {words}".strip())

    def to_internal_value(self, data: Any) -> Decimal:
        text = str(data).strip()
        if PLAIN_NUMBER.fullmatch(text) and abs(share := Decimal(text)) > self.most:
            meant = share / 100
            told = f": for {text} % send {meant:f}." if self.least <= meant <= self.most else "."
            raise serializers.ValidationError(
                f"{text} would be {share * 100:f} %. "
                f"A share is from {self.least} to {self.most} here{told}"
            )
        return super().to_internal_value(data)


class PercentAsShareField(ShareField):
    """A share of 1 of what the program itself keeps in percent."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**{"max_digits": 6, "decimal_places": 5} | kwargs)

    def run_validation(self, data: Any = empty) -> Any:
        # Bounds and defaults are shares too, so that only what has passed them is turned.
        share = super().run_validation(data)
        return share * 100 if isinstance(share, Decimal) else share

    def to_representation(self, value: Any) -> Any:
        return super().to_representation(Decimal(value) / 100)


class HappenedField(serializers.DateField):
    """A day on which something has happened: none before 1900, and none far ahead."""

    def __init__(self, **kwargs: Any) -> None:
        words = f"From {FIRST_DAY} to a year ahead."
        more = kwargs.pop("help_text", "")
        super().__init__(help_text=f"{more} {words}".strip(), **kwargs)

    def to_internal_value(self, value: Any) -> date:
        day: date = super().to_internal_value(value)
        if wrong := happened_by(day, today=timezone.localdate()):
            raise serializers.ValidationError(wrong)
        return day


def quantity_field(**kwargs: Any) -> DecimalField:
    """Return a field for a quantity in base units, to the thousandth."""
    return DecimalField(max_digits=15, decimal_places=3, **kwargs)


def moisture_field(**kwargs: Any) -> PercentAsShareField:
    """Return a field for moisture as a share of the dry mass; green wood may have twice that."""
    words = f"{kwargs.pop('help_text', '')} Water by the dry mass.".strip()
    return PercentAsShareField(max_value=Decimal(2), help_text=words, **kwargs)


class ApiAmountField(DecimalField):
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
