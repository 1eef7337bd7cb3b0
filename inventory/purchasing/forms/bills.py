"""A supplier's bill as it is typed in, and what is done with it later."""

from decimal import Decimal
from typing import Any

from django import forms
from django.db.models import QuerySet

from inventory.base.calc.money import LARGEST_AMOUNT
from inventory.base.forms import (
    AmountField,
    ExchangeRateField,
    SectionedForm,
    Sections,
    model_choice,
)
from inventory.base.queries import home_currency
from inventory.models import Bill, Delivery, Supplier
from inventory.purchasing.queries.bills import billable_deliveries
from inventory.purchasing.services.bills import NewBill
from inventory.shelf.forms.catalogue import DAY


class BillAmount(AmountField):
    """Money in the currency of the bill, below 0 on a credit note."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(another_currency=True, min_value=-LARGEST_AMOUNT, **kwargs)


class CoveredDeliveries(forms.ModelMultipleChoiceField):
    """Deliveries by supplier, day and invoice number."""

    def __init__(self, rows: QuerySet[Delivery] | None = None) -> None:
        super().__init__(
            Delivery.objects.none() if rows is None else rows,
            required=False,
            label="Deliveries it covers",
            widget=forms.CheckboxSelectMultiple,
        )

    def label_from_instance(self, row: Any) -> str:
        return f"{row}, {row.reference}" if row.reference else f"{row}"


class BillForm(SectionedForm, forms.Form):
    """What stands on a supplier's bill."""

    sections: Sections = (
        ("Bill", True, ("supplier", "number", "billed_on", "due_on")),
        ("Amounts", True, ("net", "tax", "gross", "currency", "rate")),
        ("Payment", True, ("paid_on", "note")),
        ("", False, ("deliveries", "why")),
    )

    supplier = forms.ModelChoiceField(Supplier.objects.all(), empty_label="choose")
    number = forms.CharField(max_length=60, label="Number", help_text="As on the bill.")
    billed_on = forms.DateField(label="Date of the bill", widget=DAY)
    due_on = forms.DateField(
        label="Due", required=False, widget=DAY, help_text="Left empty: at once."
    )
    currency = forms.CharField(
        required=False,
        max_length=3,
        help_text="If not your own: ISO 4217 code, such as USD.",
    )
    rate = ExchangeRateField()
    net = BillAmount(help_text="On a credit note, with a minus.")
    tax = BillAmount(required=False, initial=Decimal(0))
    gross = BillAmount(required=False, help_text="If given, net and tax must add up to it.")
    paid_on = forms.DateField(
        label="Paid", required=False, widget=DAY, help_text="Left empty: not paid yet."
    )
    note = forms.CharField(required=False, max_length=500)

    def __init__(self, *args: Any, bill: Bill | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["deliveries"] = CoveredDeliveries(billable_deliveries(bill))
        if not model_choice(self, "deliveries").queryset:
            del self.fields["deliveries"]

    def clean_currency(self) -> str:
        code: str = self.cleaned_data["currency"].strip().upper()
        return "" if code == home_currency() else code

    def to_bill(self) -> NewBill:
        """Return what the service takes."""
        data = {name: self.cleaned_data[name] for name in self.fields if name != "why"}
        return NewBill(**data | {"tax": data["tax"] or Decimal(0)})


class CorrectBillForm(BillForm):
    """The bill as it should have been entered, and what was wrong."""

    why = forms.CharField(max_length=200, label="What was wrong")


class VoidBillForm(forms.Form):
    """Why a bill doesn't count."""

    why = forms.CharField(max_length=200, label="Reason")


class PaidForm(forms.Form):
    """The day on which a bill was paid."""

    paid_on = forms.DateField(label="Paid", widget=DAY)


class CoverForm(forms.Form):
    """The deliveries that a bill covers."""

    def __init__(self, *args: Any, bill: Bill, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["deliveries"] = CoveredDeliveries(billable_deliveries(bill))
