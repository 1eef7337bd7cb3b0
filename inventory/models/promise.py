"""Promises: stock put aside for one build, or for one quote on hold."""

from django.db import models

from inventory.fields import QuantityField
from inventory.models.journal import StockEntry
from inventory.models.lot import SHELF_STATES, Lot
from inventory.models.material import Material

HOLDS_STOCK = models.Q(outstanding__gt=0) & (
    models.Q(lot=None) | models.Q(lot__remaining__gt=0, lot__piece__state__in=SHELF_STATES)
)
"""Promises that take something off what is free.

A promise of a piece that has gone or is no longer fit stays open, so that its holder is told, but
holds nothing: the piece is off the shelf, or counted as unfit, already. Once it is fit or back, it
is held again.
"""


class Promise(models.Model):
    """Stock put aside for a holder, who is known here only by a key such as `build:12`.

    `outstanding` falls as the holder draws and is 0 once the promise has ended.
    """

    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="promises")
    lot = models.ForeignKey(
        Lot, null=True, blank=True, on_delete=models.PROTECT, related_name="promises"
    )
    holder = models.CharField(max_length=40, db_index=True)
    holder_name = models.CharField(max_length=120)
    line = models.CharField(max_length=40, blank=True, help_text="The holder's own key of a line.")
    quantity = QuantityField()
    outstanding = QuantityField()
    until = models.DateField(null=True, blank=True, help_text="Last day of the reservation.")
    made_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(quantity__gt=0), name="promise_quantity_positive"
            ),
            models.CheckConstraint(
                condition=models.Q(outstanding__gte=0, outstanding__lte=models.F("quantity")),
                name="promise_outstanding_within_quantity",
            ),
            models.UniqueConstraint(
                fields=["lot"],
                condition=models.Q(outstanding__gt=0, lot__isnull=False),
                name="a_piece_is_promised_once",
            ),
        ]
        indexes = [
            models.Index(
                fields=["material"],
                condition=models.Q(outstanding__gt=0),
                name="promise_open",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.material} for {self.holder_name}"


class PromiseUse(models.Model):
    """How much of a promise one draw used up, so that a corrected draw can give it back."""

    promise = models.ForeignKey(Promise, on_delete=models.PROTECT, related_name="uses")
    entry = models.ForeignKey(StockEntry, on_delete=models.PROTECT, related_name="promise_uses")
    quantity = QuantityField()

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.quantity} of {self.promise}"
