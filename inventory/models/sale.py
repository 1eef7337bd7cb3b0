"""Stock that was sold from the rack."""

from django.db import models

from inventory.fields import MoneyField
from inventory.models.journal import StockEntry


class Sale(models.Model):
    """Who took stock that was sold, and what it fetched; `entry` is the first of its act.

    A sale that was taken back keeps its row: its entry has been corrected.
    """

    entry = models.OneToOneField(StockEntry, on_delete=models.PROTECT, related_name="sale")
    to = models.CharField(max_length=120, help_text="Name of the buyer.")
    price = MoneyField("price, net of tax")

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"{self.entry.material} to {self.to}"
