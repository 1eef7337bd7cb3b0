"""Suppliers' bills: what purchases came to, and what of it is paid."""

from decimal import Decimal

from django.db import models

from inventory.fields import MoneyField
from inventory.models.material import Supplier


class Bill(models.Model):
    """One bill or credit note of a supplier, in its own currency and in the workshop's.

    A credit note stands below 0. Its money never changes: a wrong bill is void, with its reason,
    and stays in sight.
    """

    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="bills")
    number = models.CharField(max_length=60, help_text="The supplier's number.")
    billed_on = models.DateField(help_text="The day on the bill.")
    due_on = models.DateField()
    currency = models.CharField(max_length=3, help_text="ISO 4217.")
    rate = models.DecimalField(
        max_digits=18,
        decimal_places=8,
        null=True,
        blank=True,
        help_text="Foreign currency to one of the workshop's own; empty where they are the same.",
    )
    net = MoneyField(help_text="In the currency of the bill; a credit note's is below 0.")
    tax = MoneyField(help_text="In the currency of the bill.")
    home_net = MoneyField(editable=False)
    home_tax = MoneyField(editable=False)
    paid_on = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=500, blank=True)
    void_why = models.CharField(
        max_length=200, blank=True, help_text="Why it doesn't count; empty while it does."
    )

    class Meta:
        ordering = ["-billed_on", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["supplier", "number"],
                condition=models.Q(void_why=""),
                name="bill_entered_once",
            ),
        ]
        indexes = [models.Index(fields=["-billed_on", "-id"], name="bills_by_day")]

    def __str__(self) -> str:
        return f"{self.number} of {self.supplier}"

    @property
    def total(self) -> Decimal:
        """Net and tax, in the currency of the bill."""
        return self.net + self.tax

    @property
    def home_total(self) -> Decimal:
        """Net and tax, in the workshop's currency."""
        return self.home_net + self.home_tax

    @property
    def is_void(self) -> bool:
        """Whether it was entered by mistake, and counts for nothing."""
        return bool(self.void_why)
