"""What the pages of money ask."""

from collections.abc import Sequence
from typing import Any

from django import forms

from inventory.base.forms import AmountField, choice, model_choice
from inventory.base.queries import home_currency
from quotes.base.fields import NumberField, day_field
from quotes.models import Invoice, Payment
from shop.base.choices import countries


class DueForm(forms.Form):
    """When an invoice is due, and what is known of the delivery."""

    due_on = day_field(label="Due by", required=False, help_text="Empty: by the payment terms.")
    delivered_on = day_field(
        label="Delivered on", required=False, help_text="Empty: not delivered yet."
    )
    deliver_to = forms.ChoiceField(
        label="Delivered to",
        choices=lambda: [("", "the client’s country"), *countries()],
        required=False,
        help_text="If empty, the invoice names the time of building. Ask your accountant whether a "
        "payment before delivery is invoiced without tax.",
    )

    def __init__(self, *args: Any, is_union_supply: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not is_union_supply:
            del self.fields["deliver_to"]


class CreditForm(forms.Form):
    """How much of an invoice is taken back, and why."""

    why = forms.CharField(label="Reason", max_length=300)
    amount = AmountField(
        another_currency=True,
        label="Amount, gross",
        required=False,
        help_text="Empty: the whole amount.",
    )


class PaymentForm(forms.Form):
    """What came in."""

    received_on = day_field(label="Received on")
    invoice = forms.ModelChoiceField(
        Invoice.objects.none(), required=False, empty_label="none (on account)"
    )
    amount = AmountField(
        another_currency=True, min_value=-999999999, help_text="Below 0 for a refund."
    )
    way = forms.ChoiceField(label="Method", choices=Payment.Way.choices)
    fee = AmountField(another_currency=True, label="Fee deducted", required=False)
    fee_currency = forms.ChoiceField(
        label="Fee kept in",
        required=False,
        help_text="In the payment’s currency, it is converted at the payment’s rate.",
    )
    exchange_rate = NumberField(
        label="Exchange rate of the day",
        required=False,
        decimal_places=6,
        help_text="Only for a foreign currency: units of it for one unit of the workshop’s.",
    )
    note = forms.CharField(max_length=200, required=False)

    def __init__(self, *args: Any, invoices: Any, foreign: Sequence[str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        model_choice(self, "invoice").queryset = invoices
        choice(self, "fee_currency").choices = [
            (code, code) for code in (home_currency(), *foreign)
        ]
        if not foreign:
            del self.fields["exchange_rate"]
            del self.fields["fee_currency"]


class WhyForm(forms.Form):
    """Why something is put right."""

    why = forms.CharField(label="Reason", max_length=200)
