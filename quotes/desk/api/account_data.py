"""What a client's account and a commission come to, as the API shows them."""

from typing import Any

from rest_framework import serializers

from inventory.base.api.fields import DecimalField

MONEY: dict[str, Any] = {"max_digits": 18, "decimal_places": 3}


class StatementAsked(serializers.Serializer):
    """Which account, and of which days, both included."""

    currency = serializers.CharField(
        required=False, max_length=3, help_text="ISO 4217 code; default: the workshop's."
    )
    since = serializers.DateField(
        required=False, help_text="The first day; default: 1 January of the year of `until`."
    )
    until = serializers.DateField(required=False, help_text="The last day; default: today.")


class StatementRowData(serializers.Serializer):
    """A line of a statement: a credit note is charged below 0, a refund paid below 0."""

    on = serializers.DateField()
    words = serializers.CharField()
    charged = DecimalField(help_text="With tax, in the account's currency.", **MONEY)
    paid = DecimalField(help_text="In the account's currency.", **MONEY)
    balance = DecimalField(help_text="Owed after this line, in the account's currency.", **MONEY)


class StatementData(serializers.Serializer):
    """A client's account in one currency from `since` to `until`, both included."""

    client = serializers.IntegerField()
    currency = serializers.CharField()
    since = serializers.DateField()
    until = serializers.DateField()
    balance = DecimalField(
        help_text="Owed at the end, in the account's currency; below 0 it is the client's.", **MONEY
    )
    rows = StatementRowData(many=True)


class AskedPartData(serializers.Serializer):
    """A part of an accepted price; `part` is its place, to send to `invoices/`."""

    part = serializers.IntegerField(source="place")
    name = serializers.CharField()
    amount = DecimalField(help_text="With tax, in the commission's currency.", **MONEY)
    invoice = serializers.IntegerField(source="invoice.pk", default=None, allow_null=True)


class AskedChangeData(serializers.Serializer):
    """A change order with its invoice, and what of that is still owed."""

    change = serializers.IntegerField(source="change.pk")
    number = serializers.IntegerField(source="change.number")
    title = serializers.CharField(source="change.title")
    state = serializers.CharField(source="change.state")
    invoice = serializers.IntegerField(source="invoice.pk", default=None, allow_null=True)
    owed = DecimalField(help_text="With tax, in the commission's currency.", **MONEY)
    waits = serializers.BooleanField(help_text="Paid before it is made, and not paid yet.")


class TotalsData(serializers.Serializer):
    """What a commission comes to, with tax, in the money that its client pays in."""

    commission = serializers.IntegerField(source="commission.pk")
    quote = serializers.IntegerField(
        source="agreed.pk", default=None, allow_null=True, help_text="The quote that was accepted."
    )
    currency = serializers.CharField(help_text="ISO 4217 code; empty before a quote is accepted.")
    asked = DecimalField(help_text="By invoices less credit notes, with tax.", **MONEY)
    paid = DecimalField(help_text="What came in less what went back.", **MONEY)
    owed = DecimalField(help_text="Asked for and not paid; below 0 it is the client's.", **MONEY)
    too_much = DecimalField(help_text="What came in beyond what is asked for.", **MONEY)
    parts = AskedPartData(many=True)
    changes = AskedChangeData(many=True)
