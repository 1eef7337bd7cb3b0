"""Invoices, payments, changes and what is owed, as the API reads and shows them."""

from decimal import Decimal
from typing import Any

from rest_framework import serializers

from inventory.base.api.examples import example
from inventory.base.api.fields import DecimalField, HappenedField
from inventory.base.api.views import Serializer
from quotes.models import Change, ChangeMaterial, Client, Commission, Invoice, Payment, Quote


class InvoiceData(Serializer):
    """An invoice or a credit note as it was sent."""

    client = serializers.IntegerField(source="commission.client_id", read_only=True)
    open_amount = DecimalField(max_digits=18, decimal_places=3, read_only=True)

    class Meta:
        model = Invoice
        fields = [
            "id", "number", "kind", "commission", "client", "quote", "change", "credits", "part",
            "issued_on", "due_on", "delivered_on", "deliver_to", "currency", "exchange_rate", "net",
            "tax", "gross", "home_net", "home_tax", "open_amount", "why", "document_sha256",
        ]  # fmt: skip


@example("the deposit", quote=1, part=0)
class InvoiceAsked(serializers.Serializer):
    """A part of an accepted quote, counted from 0, or an agreed change."""

    quote = serializers.PrimaryKeyRelatedField(
        queryset=Quote.objects.select_related("commission__client"), required=False
    )
    part = serializers.IntegerField(required=False, min_value=0, max_value=20)
    change = serializers.PrimaryKeyRelatedField(
        queryset=Change.objects.select_related("quote__commission__client"), required=False
    )
    due_on = serializers.DateField(required=False)
    delivered_on = serializers.DateField(
        required=False, help_text="Omit if not delivered yet, or not known."
    )
    deliver_to = serializers.CharField(
        max_length=2,
        required=False,
        help_text="ISO 3166 code of the country of delivery; if omitted for an intra-community "
        "supply, the client's.",
    )

    def validate(self, asked: dict[str, Any]) -> dict[str, Any]:
        if ("change" in asked) == ("part" in asked):
            raise serializers.ValidationError("Give a part of a quote, or a change order.")
        if "part" in asked and "quote" not in asked:
            raise serializers.ValidationError({"quote": "Give the quote too."})
        return asked


@example("half of it", why="The case was not delivered.", amount="85.00")
class CreditAsked(serializers.Serializer):
    """Why, and how much, gross; left out, all of it."""

    why = serializers.CharField(max_length=300)
    amount = DecimalField(max_digits=12, decimal_places=3, required=False)


class PaymentData(Serializer):
    """A payment; a refund or a correction is below 0."""

    class Meta:
        model = Payment
        fields = [
            "id", "number", "client", "commission", "invoice", "received_on", "currency",
            "amount", "home", "fee", "foreign_fee", "way", "note", "recorded_at", "counter_to",
        ]  # fmt: skip
        read_only_fields = ["number", "home", "foreign_fee", "recorded_at", "counter_to"]


@example("a deposit", client=1, commission=1, invoice=1, amount="1130.40", received_on="2027-03-09")
class PaymentAsked(serializers.Serializer):
    """What came in; `exchange_rate` only for foreign money."""

    client = serializers.PrimaryKeyRelatedField(queryset=Client.objects.all())
    commission = serializers.PrimaryKeyRelatedField(
        queryset=Commission.objects.all(),
        required=False,
        allow_null=True,
    )
    invoice = serializers.PrimaryKeyRelatedField(
        queryset=Invoice.objects.select_related("commission__client"),
        required=False,
        allow_null=True,
    )
    amount = DecimalField(max_digits=12, decimal_places=3)
    received_on = HappenedField()
    currency = serializers.CharField(required=False, max_length=3)
    exchange_rate = DecimalField(max_digits=14, decimal_places=6, required=False)
    fee = DecimalField(
        max_digits=12,
        decimal_places=3,
        min_value=Decimal(0),
        required=False,
        help_text="What the bank or card company kept: from 0 to the payment itself.",
    )
    fee_currency = serializers.CharField(
        required=False,
        max_length=3,
        help_text="The payment's currency, at whose rate the fee is converted, or the workshop's; "
        "left out, the workshop's.",
    )
    way = serializers.ChoiceField(choices=Payment.Way.choices, required=False)
    note = serializers.CharField(required=False, allow_blank=True, max_length=200)


@example("a slip", why="Typed twice.")
class WhyGiven(serializers.Serializer):
    """A reason in words."""

    why = serializers.CharField(max_length=200)


class ChangeMaterialData(Serializer):
    """A material that a change takes from the shelf, in base units; the change's cost has its."""

    class Meta:
        model = ChangeMaterial
        fields = ["material", "quantity", "cost", "line"]
        read_only_fields = ["cost", "line"]


class OwedAsked(serializers.Serializer):
    """The day to look at; left out, today."""

    on = serializers.DateField(required=False)


class OwedData(serializers.Serializer):
    """An invoice that is not settled."""

    invoice = serializers.IntegerField(source="invoice.pk")
    number = serializers.CharField(source="invoice.number")
    due_on = serializers.DateField(source="invoice.due_on")
    owed = DecimalField(max_digits=18, decimal_places=3)
    days_late = serializers.IntegerField()


class AccountData(serializers.Serializer):
    """A client's account in one currency on the day."""

    client = serializers.IntegerField(source="client.pk")
    name = serializers.CharField(source="client.name")
    currency = serializers.CharField()
    owed = DecimalField(source="account.owed", max_digits=18, decimal_places=3)
    credit = DecimalField(max_digits=18, decimal_places=3)
    invoices = OwedData(many=True)
