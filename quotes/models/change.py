"""Changes: what was altered after acceptance, priced and paid on its own."""

from decimal import Decimal

from django.db import models

from inventory.fields import MoneyField, QuantityField
from inventory.models import Material
from quotes.models.client import Commission
from quotes.models.quote import LineTax, Quote
from shop.models import BuildLine, BuildStage


class Change(models.Model):
    """An alteration of an accepted quote; declined ones are kept.

    `price` is net, in the quote's currency, below 0 when something is left out. `hours` and `cost`
    (home money, with the `materials`) are what it is made from. `frozen` and the document are what
    the client was offered.
    """

    class State(models.TextChoices):
        OFFERED = "offered", "offered"
        AGREED = "agreed", "agreed"
        DECLINED = "declined", "declined"

    commission = models.ForeignKey(Commission, on_delete=models.PROTECT, related_name="changes")
    quote = models.ForeignKey(Quote, on_delete=models.PROTECT, related_name="changes")
    number = models.PositiveSmallIntegerField(help_text="Within the commission, from 1.")
    state = models.CharField(max_length=8, choices=State.choices, default=State.OFFERED)
    title = models.CharField(max_length=160)
    words = models.TextField(blank=True, help_text="The new specification, in free words.")
    rows = models.JSONField(
        default=list,
        blank=True,
        help_text="Rows of the specification that it replaces: name, before, value and unit.",
    )
    hours = models.DecimalField(max_digits=6, decimal_places=2, default=Decimal(0))
    cost = MoneyField(default=Decimal(0), help_text="Materials and outside work.")
    price = MoneyField(help_text="Net, in the quote's currency.")
    tax_kind = models.CharField(
        "tax", max_length=1, choices=LineTax.choices, default=LineTax.WITH_IT, blank=True
    )
    tax_rate = models.DecimalField(max_digits=5, decimal_places=4, null=True, blank=True)
    before = models.ForeignKey(
        BuildStage,
        null=True,
        blank=True,
        on_delete=models.SET_NULL,
        related_name="+",
        help_text="The stage of the build that its hours come before; empty: they come last.",
    )
    stage = models.ForeignKey(
        BuildStage,
        null=True,
        blank=True,
        on_delete=models.SET_NULL,
        related_name="+",
        help_text="The stage of the build that its hours became.",
    )
    days_added = models.SmallIntegerField(default=0)
    is_paid_ahead = models.BooleanField(default=True)
    is_billed = models.BooleanField("billed", default=True, help_text="Off: free of charge.")
    offered_on = models.DateField()
    decided_at = models.DateTimeField(null=True, blank=True)
    decided_by = models.CharField(max_length=120, blank=True)
    frozen = models.JSONField(null=True, blank=True, editable=False)
    document = models.FileField(upload_to="changes/", blank=True, editable=False)
    document_sha256 = models.CharField(max_length=64, blank=True, editable=False)

    class Meta:
        ordering = ["commission", "number"]
        constraints = [
            models.UniqueConstraint(
                fields=["commission", "number"], name="change_number_once_in_a_commission"
            ),
        ]

    def __str__(self) -> str:
        return f"change order {self.number}: {self.title}"


class ChangeMaterial(models.Model):
    """A material of the shop that a change takes, in its base unit, at replacement when offered.

    `line` is what it became on the build once the change was agreed.
    """

    change = models.ForeignKey(Change, on_delete=models.CASCADE, related_name="materials")
    material = models.ForeignKey(Material, on_delete=models.PROTECT)
    quantity = QuantityField()
    cost = MoneyField()
    line = models.ForeignKey(
        BuildLine, null=True, blank=True, on_delete=models.SET_NULL, related_name="+"
    )

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return self.material.name
