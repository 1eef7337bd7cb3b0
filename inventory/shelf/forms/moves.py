"""Drawing, scrapping, counting, bringing back, sending back."""

from decimal import Decimal
from typing import Any

from django import forms

from inventory.base.forms import AmountField, LotChoice, TypedQuantityField, choice
from inventory.models import Lot, Material, StockEntry
from inventory.shelf.queries.one_material import holders

LEAST = Decimal("0.001")
THE_SHOP = ("", "the workshop")


class MoveForm(forms.Form):
    """A quantity of one material, from one lot or from the oldest first."""

    def __init__(self, *args: Any, material: Material, lot: Lot | None = None, **kw: Any) -> None:
        super().__init__(*args, **kw)
        self.fields["quantity"] = TypedQuantityField(
            unit_code=material.unit,
            least=LEAST,
            initial=Decimal(1) if material.is_piece else None,
        )
        self.fields["lot"] = LotChoice(
            material, lot, required=False, label="Piece" if material.is_piece else "Lot"
        )
        self.order_fields(["quantity", "lot"])
        self.material = material

    def clean(self) -> dict[str, Any]:
        data: dict[str, Any] = super().clean() or {}
        several = self.material.is_piece and data.get("lot") and data.get("quantity") != 1
        if several and "quantity" not in self.errors:
            self.add_error(
                "quantity", "A piece is a single item. To take several, choose no piece."
            )
        return data


def _holder_field() -> forms.ChoiceField:
    return forms.ChoiceField(label="For", required=False)


class DrawForm(MoveForm):
    """What is drawn, and for whom."""

    holder = _holder_field()
    note = forms.CharField(max_length=300, required=False)

    def __init__(self, *args: Any, **kw: Any) -> None:
        super().__init__(*args, **kw)
        choice(self, "holder").choices = [THE_SHOP, *holders()]


class ScrapForm(MoveForm):
    """What is lost, and why."""

    why = forms.CharField(
        label="Reason", max_length=300, help_text="Such as: cracked, run-out, dried up."
    )
    holder = _holder_field()

    def __init__(self, *args: Any, **kw: Any) -> None:
        super().__init__(*args, **kw)
        self.fields["holder"].label = "Cost to"
        choice(self, "holder").choices = [THE_SHOP, *holders()]


class CountForm(forms.Form):
    """What is really there."""

    why = forms.CharField(
        max_length=300,
        required=False,
        label="Reason for difference",
        help_text="If there is one: broken, used without a record, given away, counted wrongly.",
    )

    def __init__(self, *args: Any, material: Material, lot: Lot | None = None, **kw: Any) -> None:
        super().__init__(*args, **kw)
        self.fields["counted"] = TypedQuantityField(
            unit_code=material.unit, label="Quantity counted"
        )
        if lot is not None or material.is_piece:
            self.fields["lot"] = LotChoice(
                material, lot, required=False, empty_label="all of it", label="Of"
            )
        self.order_fields(["counted", "lot", "why"])


class ReturnForm(forms.Form):
    """How much of a draw comes back."""

    def __init__(self, *args: Any, entry: StockEntry, still_out: Decimal, **kw: Any) -> None:
        super().__init__(*args, **kw)
        self.fields["quantity"] = TypedQuantityField(
            unit_code=entry.material.unit,
            least=LEAST,
            initial=still_out,
            label="Quantity to return",
        )


class CorrectForm(forms.Form):
    """Why an entry is undone."""

    why = forms.CharField(
        label="Reason", max_length=300, help_text="Such as: typed twice, wrong material."
    )


class SendBackForm(forms.Form):
    """What goes back to its supplier, and what is credited for it."""

    credit = AmountField(help_text="What the supplier refunds, without carriage.")
    why = forms.CharField(label="Reason", max_length=300)

    def __init__(self, *args: Any, lot: Lot, **kw: Any) -> None:
        super().__init__(*args, **kw)
        self.fields["quantity"] = TypedQuantityField(
            unit_code=lot.material.unit,
            least=LEAST,
            initial=lot.remaining,
            label="Quantity to send back",
        )
        self.order_fields(["quantity", "credit", "why"])
