"""Deliveries: what came in together, and what it cost to get it here."""

from decimal import Decimal

from django.db import models

from inventory.base.calc.days import day_words
from inventory.fields import MoneyField, QuantityField
from inventory.models.bill import Bill
from inventory.models.material import Material, Supplier


class ShareBy(models.TextChoices):
    """How carriage and duty are shared over the lines of a delivery."""

    VALUE = "value", "value"
    MASS = "mass", "mass"
    COUNT = "count", "count"


class Delivery(models.Model):
    """One arrival of goods, in home money."""

    supplier = models.ForeignKey(Supplier, null=True, blank=True, on_delete=models.PROTECT)
    received_on = models.DateField()
    reference = models.CharField(
        max_length=60, blank=True, help_text="The supplier's invoice number."
    )
    carriage = MoneyField(default=Decimal(0))
    duty = MoneyField("duty and tax that can't be reclaimed", default=Decimal(0))
    tax = MoneyField(
        "tax that can be reclaimed", default=Decimal(0), help_text="Not part of the cost."
    )
    currency = models.CharField(
        max_length=3, blank=True, help_text="ISO 4217 code; empty for the workshop's currency."
    )
    rate = models.DecimalField(
        max_digits=18,
        decimal_places=8,
        null=True,
        blank=True,
        help_text="Foreign currency to one of the workshop's own.",
    )
    foreign_carriage = MoneyField(null=True, blank=True)
    bill = models.ForeignKey(
        Bill,
        null=True,
        blank=True,
        on_delete=models.SET_NULL,
        related_name="deliveries",
        help_text="The supplier's bill that covers it.",
    )
    share_by = models.CharField(max_length=5, choices=ShareBy.choices, default=ShareBy.VALUE)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["-received_on", "-pk"]
        verbose_name_plural = "deliveries"
        indexes = [models.Index(fields=["-received_on", "-id"], name="deliveries_by_day")]

    def __str__(self) -> str:
        return f"{self.supplier or 'Stock'}, {day_words(self.received_on)}"


class DeliveryLine(models.Model):
    """One material of a delivery: what was paid for it, and what it cost landed."""

    delivery = models.ForeignKey(Delivery, on_delete=models.CASCADE, related_name="lines")
    material = models.ForeignKey(Material, on_delete=models.PROTECT)
    quantity = QuantityField()
    price = MoneyField()
    foreign_price = MoneyField(null=True, blank=True)
    order_line = models.ForeignKey(
        "inventory.OrderLine",
        null=True,
        blank=True,
        on_delete=models.SET_NULL,
        related_name="deliveries",
    )
    mass_g = QuantityField(null=True, blank=True)
    landed_cost = MoneyField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(quantity__gt=0), name="delivery_line_quantity_positive"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.material} of {self.delivery}"
