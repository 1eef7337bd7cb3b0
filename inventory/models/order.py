"""Buying: order sheets, prices as they were asked, breaks for more at once, suppliers' credits."""

from decimal import Decimal

from django.core.validators import MinValueValidator
from django.db import models

from inventory.base.calc.days import day_words
from inventory.fields import MoneyField, QuantityField
from inventory.models.delivery import DeliveryLine
from inventory.models.journal import StockEntry
from inventory.models.material import Material, Supplier


def _price() -> models.DecimalField:
    return models.DecimalField(
        max_digits=14,
        decimal_places=4,
        validators=[MinValueValidator(0)],
        help_text="Per unit as shown, in the supplier's currency.",
    )


class PriceKind(models.TextChoices):
    """What a noted price is the price of."""

    REPLACEMENT = "replacement", "replacement price"
    PAID = "paid", "paid, landed"
    REALISABLE = "realisable", "realisable value"


class PriceNote(models.Model):
    """What a material cost, or would have fetched, as noted for a day; empty once not known.

    The last replacement and realisable ones are copied to the material, by `record_price` only.
    """

    material = models.ForeignKey(Material, on_delete=models.CASCADE, related_name="price_notes")
    supplier = models.ForeignKey(Supplier, null=True, blank=True, on_delete=models.SET_NULL)
    noted_on = models.DateField()
    kind = models.CharField(max_length=11, choices=PriceKind.choices, default=PriceKind.REPLACEMENT)
    price = models.DecimalField(
        max_digits=14,
        decimal_places=4,
        null=True,
        help_text="Workshop currency, per unit as shown.",
    )
    delivery_line = models.ForeignKey(
        DeliveryLine,
        null=True,
        blank=True,
        on_delete=models.CASCADE,
        related_name="price_notes",
        help_text="For a price paid: what was bought.",
    )

    class Meta:
        ordering = ["noted_on", "pk"]
        indexes = [
            models.Index(fields=["material", "kind", "noted_on"], name="price_note_of_kind"),
        ]

    def __str__(self) -> str:
        return f"{self.material}, {day_words(self.noted_on)}"


class PriceBreak(models.Model):
    """From how much on a material costs how much; the smallest is also the least order."""

    material = models.ForeignKey(Material, on_delete=models.CASCADE, related_name="price_breaks")
    least = QuantityField("from")
    price = _price()

    class Meta:
        ordering = ["material", "least"]
        constraints = [
            models.UniqueConstraint(fields=["material", "least"], name="one_price_for_a_break"),
            models.CheckConstraint(condition=models.Q(least__gt=0), name="break_above_nothing"),
        ]

    def __str__(self) -> str:
        return f"{self.material} from {self.least}"


class Order(models.Model):
    """An order sheet to one supplier: a draft until it is sent, then as it was sent."""

    number = models.CharField(max_length=20, unique=True)
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="orders")
    made_on = models.DateField()
    sent_on = models.DateField(null=True, blank=True)
    closed_on = models.DateField(null=True, blank=True)
    currency = models.CharField(max_length=3, help_text="ISO 4217.")
    note = models.TextField(blank=True, help_text="Printed on the order.")
    document = models.FileField(upload_to="orders/%Y/", blank=True, editable=False)

    class Meta:
        ordering = ["-made_on", "-pk"]

    def __str__(self) -> str:
        return f"{self.number} to {self.supplier}"


class OrderLine(models.Model):
    """So much of a material at a price; `received` follows the deliveries that name this line."""

    order = models.ForeignKey(Order, on_delete=models.CASCADE, related_name="lines")
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="order_lines")
    words = models.CharField(max_length=160, help_text="The supplier's name for it.")
    quantity = QuantityField()
    price = _price()
    received = QuantityField(default=Decimal(0), editable=False)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(quantity__gt=0), name="order_line_quantity_positive"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.material} of {self.order}"


class Credit(models.Model):
    """What a supplier owes for stock sent back, until it is paid or taken off an invoice."""

    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="credits")
    entry = models.OneToOneField(StockEntry, on_delete=models.PROTECT, related_name="credit")
    amount = MoneyField()
    given_on = models.DateField()
    settled_on = models.DateField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["settled_on", "given_on"]

    def __str__(self) -> str:
        return f"{self.amount} from {self.supplier}"
