"""Close-outs: what a build cost and earned, as it stood on the day it was closed."""

from django.db import models

from inventory.fields import MoneyField
from shop.models import Build, BuildLine


class CloseOut(models.Model):
    """The comparison of quoted and actual, kept when a build is delivered.

    Lines that had no cost then can be drawn or priced later: `figures` are corrected by it, and
    `first_figures` stay as they were on the day it was closed.
    """

    build = models.OneToOneField(Build, on_delete=models.PROTECT, related_name="close_out")
    closed_on = models.DateField()
    figures = models.JSONField(editable=False)
    first_figures = models.JSONField(null=True, editable=False)
    corrected_on = models.DateField(null=True, editable=False)
    charge_next_time = MoneyField(null=True, blank=True)
    decline_under = MoneyField(null=True, blank=True)
    note_to_self = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-closed_on", "-pk"]

    def __str__(self) -> str:
        return f"close-out of {self.build.serial}"


class Expense(models.Model):
    """What outside work, shipping or a line that was not drawn from stock cost, in home money."""

    class Kind(models.TextChoices):
        OUTSIDE = "outside", "outside work"
        SHIPPING = "shipping", "shipping"
        MATERIAL = "material", "material not from stock"

    build = models.ForeignKey(Build, on_delete=models.PROTECT, related_name="expenses")
    kind = models.CharField(max_length=8, choices=Kind.choices)
    about = models.CharField("what for", max_length=120, blank=True)
    amount = MoneyField(help_text="In the workshop's currency, without tax you reclaim.")
    paid_on = models.DateField()
    line = models.ForeignKey(
        BuildLine, null=True, blank=True, on_delete=models.PROTECT, related_name="expenses"
    )

    class Meta:
        ordering = ["paid_on", "pk"]

    def __str__(self) -> str:
        return self.about or self.get_kind_display()
