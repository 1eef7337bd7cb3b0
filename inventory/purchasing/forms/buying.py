"""Buying: what goes on an order sheet, its lines, price breaks."""

import re
from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any

from django import forms

from inventory.base.calc.money import minor_unit_of, round_money
from inventory.base.calc.units import from_base
from inventory.base.forms import TypedQuantityField
from inventory.base.refusals import Refusal
from inventory.fields import TidyDecimalField
from inventory.models import Material, Order, OrderLine
from inventory.purchasing.queries.buying import Buy
from inventory.purchasing.queries.orders import open_lines
from inventory.purchasing.services.orders import ToOrder
from inventory.templatetags.figures import plain_decimal

LEAST = Decimal("0.001")


def _price(**kwargs: Any) -> forms.DecimalField:
    return TidyDecimalField(min_value=0, max_digits=14, decimal_places=4, **kwargs)


class BuyForm(forms.Form):
    """One line of what to buy: ticked or not, and how much."""

    chosen = forms.BooleanField(required=False)

    def __init__(self, data: Any, buy: Buy) -> None:
        super().__init__(data, prefix=f"buy-{buy.material.pk}")
        self.fields["quantity"] = TypedQuantityField(
            unit_code=buy.material.unit, required=False, initial=buy.quantity, least=LEAST
        )
        self.buy = buy

    def to_order(self) -> ToOrder | None:
        """Return what was ticked; a price in other money than the supplier's is left to fill in."""
        data = self.cleaned_data
        if not data["chosen"]:
            return None
        return ToOrder(
            material=self.buy.material,
            quantity=data["quantity"] or self.buy.quantity,
            price=self.buy.price if self.buy.is_suppliers_price else None,
        )


def typed_keys(sent: Mapping[str, Any], field: str = "quantity|chosen") -> set[int]:
    """Return the keys of the materials whose rows were sent, or were sent with a `field`."""
    name = re.compile(rf"buy-(\d{{1,18}})-(?:{field})")
    return {int(found[1]) for one in sent if (found := name.fullmatch(one))}


def refuse_covered(sent: Mapping[str, Any], buys: Iterable[Buy]) -> None:
    """Raise Refusal where a material was ticked that is no longer to buy."""
    gone = typed_keys(sent, "chosen") - {buy.material.pk for buy in buys}
    names = Material.objects.filter(pk__in=gone).order_by("name").values_list("name", flat=True)
    if gone and (told := ", ".join(names)):
        raise Refusal(
            f"Meanwhile no longer short: {told}. Look at the list again, and make the orders then."
        )


class OrderLineForm(forms.Form):
    """Quantity and price of one line of a draft."""

    price = _price()

    def __init__(self, data: Any, line: OrderLine) -> None:
        initial = {"price": line.price, "quantity": line.quantity}
        super().__init__(data, initial=initial, prefix=f"line-{line.pk}")
        self.fields["quantity"] = TypedQuantityField(unit_code=line.material.unit)
        self.line = line


class OrderNoteForm(forms.Form):
    """What else the supplier should read."""

    note = forms.CharField(
        required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 3})
    )


class BreakForm(forms.Form):
    """From how much on it costs how much."""

    price = _price(label="Unit price, in the supplier's currency")

    def __init__(self, *args: Any, material: Material, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["least"] = TypedQuantityField(
            unit_code=material.unit, label="From", least=LEAST
        )
        self.order_fields(["least", "price"])


def lines_of_order(order: Order) -> list[dict[str, Any]]:
    """Return what to begin a delivery's lines with: all that has still to come of `order`."""
    minor_unit = minor_unit_of(order.currency)
    lines = []
    for line in open_lines(order):
        shown = from_base(line.quantity - line.received, line.material.unit)
        lines.append(
            {
                "material": line.material.name,
                "quantity": plain_decimal(shown),
                "price": round_money(line.price * shown, minor_unit),
                "order_line": line.pk,
            }
        )
    return lines
