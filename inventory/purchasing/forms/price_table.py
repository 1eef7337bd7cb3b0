"""Prices of many materials at once, as they are typed, pasted or sent as a file."""

import json
import re
from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from typing import Any

from django import forms
from django.db.models import QuerySet

from inventory.base.calc.sheets import rows_of_file, rows_of_text
from inventory.base.forms import PriceField, checked_file
from inventory.base.refusals import Refusal
from inventory.models import Material
from inventory.purchasing.queries.price_table import (
    MOST_ROWS,
    PriceChange,
    ReadPrices,
    read_prices,
)
from inventory.shelf.forms.catalogue import DAY

LINE_NAME = re.compile(r"m(\d{1,18})-price$")


class PriceTableForm(forms.Form):
    """The day of the prices, and rows from elsewhere; what is typed in the table comes beside."""

    on = forms.DateField(label="Checked on", widget=DAY)
    pasted = forms.CharField(
        required=False,
        max_length=200_000,
        label="Rows from a spreadsheet",
        help_text="Material, replacement price, realisable value. A first row may name them.",
        widget=forms.Textarea(attrs={"rows": 4}),
    )
    file = forms.FileField(
        required=False,
        label="Or a file",
        help_text="CSV or XLSX, the same columns.",
        widget=forms.FileInput(attrs={"accept": ".csv,.txt,.tsv,.xlsx"}),
    )

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {"on": today})
        super().__init__(*args, **kwargs)

    def clean_file(self) -> Any:
        return checked_file(self.cleaned_data.get("file"))

    def read(self) -> ReadPrices:
        """Return what the file says, or else the pasted rows. Raises Refusal."""
        upload = self.cleaned_data["file"]
        if upload:
            return read_prices(rows_of_file(upload.name, upload.read()))
        pasted = self.cleaned_data["pasted"]
        return read_prices(rows_of_text(pasted) if pasted.strip() else ())


class PriceLineForm(forms.Form):
    """The two prices of one material, and whether the first still holds."""

    price = PriceField(required=False)
    realisable = PriceField(required=False)
    holds = forms.BooleanField(required=False)

    def __init__(self, data: Any, material: Material) -> None:
        before = {"price": material.replacement_price, "realisable": material.realisable_price}
        super().__init__(data, prefix=f"m{material.pk}", initial=before)
        self.material = material
        for name, label in (("price", "Replacement price"), ("realisable", "Realisable value")):
            self.fields[name].widget.attrs["aria-label"] = f"{label} of {material}"
        self.fields["holds"].widget.attrs["aria-label"] = f"Price of {material} still holds"

    def change(self) -> PriceChange | None:
        """Return what was typed anew; None where nothing was. What was emptied stays as it is."""
        data, material = self.cleaned_data, self.material
        price = data["price"] if data["price"] != material.replacement_price else None
        if price is None and data["holds"]:
            price = material.replacement_price
        realisable = data["realisable"] if data["realisable"] != material.realisable_price else None
        if price is None and realisable is None:
            return None
        return PriceChange(material=material, price=price, realisable=realisable)


def typed_materials(sent: Mapping[str, Any]) -> QuerySet[Material]:
    """Return the materials in whose rows somebody could type, by name."""
    keys = {found[1] for name in sent if (found := LINE_NAME.match(name))}
    rows = Material.objects.filter(pk__in=keys, is_archived=False)
    return rows.select_related("family", "supplier").order_by("name")


def packed(changes: tuple[PriceChange, ...]) -> str:
    """Write changes, with the prices they were shown beside, as text that a form can carry."""
    return json.dumps([[change.material.pk, *map(_text, _prices(change))] for change in changes])


def unpacked(text: str) -> list[tuple[PriceChange, tuple[Decimal | None, Decimal | None]]]:
    """Return the changes of a preview, each with the prices it showed. Raises Refusal."""
    try:
        rows = [(int(key), [_number(one) for one in rest]) for key, *rest in json.loads(text)]
        if len(rows) > MOST_ROWS or any(len(rest) != 4 for _, rest in rows):
            raise ValueError
    except (ValueError, TypeError, ArithmeticError):
        raise Refusal("The preview was not received whole. Look at the changes again.") from None
    known = Material.objects.in_bulk([key for key, _ in rows])
    return [
        (
            PriceChange(material=known[key], price=price, realisable=realisable),
            (price_before, realisable_before),
        )
        for key, (price, realisable, price_before, realisable_before) in rows
        if key in known
    ]


def _prices(change: PriceChange) -> tuple[Decimal | None, ...]:
    material = change.material
    before = (material.replacement_price, material.realisable_price)
    return (change.price, change.realisable, *before)


def _text(price: Decimal | None) -> str:
    return "" if price is None else f"{price:f}"


def _number(typed: str) -> Decimal | None:
    if typed == "":
        return None
    number = Decimal(typed)
    if not number.is_finite() or number < 0:
        raise ValueError
    return number
