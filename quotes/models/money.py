"""Invoices and payments: what was asked for, and what came in."""

from decimal import Decimal

from django.conf import settings
from django.db import models

from inventory.fields import MoneyField
from quotes.models.change import Change
from quotes.models.client import Client, Commission
from quotes.models.quote import Quote


class Invoice(models.Model):
    """An invoice or a credit note as it was sent; it never changes.

    `unsettled` copies what its payments and credit notes say and is written by
    `quotes.invoicing.bookkeeping` only, so that what is open is found without adding all up.
    Amounts are in `currency`; a credit note's are below 0. `exchange_rate` is how much of it one
    of home money bought on the day, so that the tax can be told in home money.
    """

    class Kind(models.TextChoices):
        DEPOSIT = "deposit", "deposit"
        STAGE = "stage", "stage payment"
        BALANCE = "balance", "balance"
        WHOLE = "whole", "whole price"
        CHANGE = "change", "change order"
        SETTLEMENT = "settle", "settlement"
        CREDIT = "credit", "credit note"

    commission = models.ForeignKey(Commission, on_delete=models.PROTECT, related_name="invoices")
    quote = models.ForeignKey(
        Quote, null=True, blank=True, on_delete=models.PROTECT, related_name="invoices"
    )
    change = models.ForeignKey(
        Change, null=True, blank=True, on_delete=models.PROTECT, related_name="invoices"
    )
    credits = models.ForeignKey(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="credit_notes"
    )
    kind = models.CharField(max_length=7, choices=Kind.choices)
    part = models.PositiveSmallIntegerField(
        null=True, blank=True, help_text="Which part of the price, counted from 0."
    )
    number = models.CharField(max_length=20, unique=True)
    issued_on = models.DateField()
    delivered_on = models.DateField(
        null=True, blank=True, help_text="Empty: not yet, or not known."
    )
    deliver_to = models.CharField(
        max_length=2, blank=True, help_text="ISO 3166 code of the country of delivery."
    )
    due_on = models.DateField()
    currency = models.CharField(max_length=3)
    exchange_rate = models.DecimalField(max_digits=14, decimal_places=6, default=Decimal(1))
    net = MoneyField()
    tax = MoneyField()
    gross = MoneyField()
    home_net = MoneyField()
    home_tax = MoneyField()
    why = models.CharField(max_length=300, blank=True)
    unsettled = MoneyField(
        default=Decimal(0),
        editable=False,
        help_text="What neither payments nor credit notes settle; below 0 what was paid too much.",
    )
    frozen = models.JSONField(editable=False)
    document = models.FileField(upload_to="invoices/", editable=False)
    document_sha256 = models.CharField(max_length=64, editable=False)

    class Meta:
        ordering = ["-issued_on", "-pk"]
        indexes = [
            models.Index(fields=["-issued_on", "-id"], name="invoices_by_day"),
            models.Index(fields=["unsettled"], name="invoices_unsettled"),
        ]

    def __str__(self) -> str:
        return self.number

    @property
    def is_credit(self) -> bool:
        return self.kind == self.Kind.CREDIT

    @property
    def open_amount(self) -> Decimal:
        """What is still to be paid of it; money on account is not taken off."""
        return max(self.unsettled, Decimal(0))


class Payment(models.Model):
    """Money that came in, or below 0 went back; a mistake gets a counter-payment.

    `amount` is in `currency`, `home` is what it turned out to be, `fee` what was kept back of it
    on the way, both in home money; `foreign_fee` is that fee where it was kept in `currency`.
    Without an invoice it stands on the client's account.
    """

    class Way(models.TextChoices):
        TRANSFER = "transfer", "bank transfer"
        CARD = "card", "card"
        CASH = "cash", "cash"
        OTHER = "other", "other"

    client = models.ForeignKey(Client, on_delete=models.PROTECT, related_name="payments")
    commission = models.ForeignKey(
        Commission, null=True, blank=True, on_delete=models.PROTECT, related_name="payments"
    )
    invoice = models.ForeignKey(
        Invoice, null=True, blank=True, on_delete=models.PROTECT, related_name="payments"
    )
    number = models.CharField(max_length=20, unique=True, help_text="Of its receipt.")
    received_on = models.DateField()
    currency = models.CharField(max_length=3)
    amount = MoneyField()
    home = MoneyField()
    fee = MoneyField(default=Decimal(0))
    foreign_fee = MoneyField(
        null=True, blank=True, help_text="The fee as it was kept, in the payment's own currency."
    )
    way = models.CharField(max_length=8, choices=Way.choices, default=Way.TRANSFER)
    note = models.CharField(max_length=200, blank=True)
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT
    )
    frozen = models.JSONField(null=True, editable=False, help_text="Its receipt, as first printed.")
    counter_to = models.OneToOneField(
        "self", null=True, blank=True, on_delete=models.PROTECT, related_name="countered_by"
    )

    class Meta:
        ordering = ["-received_on", "-pk"]
        indexes = [models.Index(fields=["-received_on", "-id"], name="payments_by_day")]
        constraints = [
            models.CheckConstraint(condition=~models.Q(amount=0), name="payment_is_not_nothing"),
        ]

    def __str__(self) -> str:
        return f"{self.number} of {self.client}"

    @property
    def rate(self) -> Decimal:
        """How much of its currency one of home money bought, as it turned out."""
        return round(self.amount / self.home, 4) if self.home else Decimal(0)
