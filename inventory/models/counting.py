"""Counts of a shelf: what the books said when they were frozen, and what was found."""

from django.db import models

from inventory.fields import QuantityField
from inventory.models.lot import Lot
from inventory.models.material import Material, Place


class DifferenceReason(models.TextChoices):
    """Why a count differs from the books."""

    BROKEN = "broken", "broken"
    UNRECORDED = "unrecorded", "used without a record"
    GIVEN = "given", "given away"
    MISCOUNTED = "miscounted", "counted wrongly before"
    FOUND = "found", "found again"
    UNKNOWN = "unknown", "not known"


class Count(models.Model):
    """One count, of one place or of everything, as the books had it at a frozen moment.

    `begun_at` is when the books were asked: later than `frozen_at` where that is a past day.
    """

    name = models.CharField(max_length=80)
    place = models.ForeignKey(Place, null=True, blank=True, on_delete=models.SET_NULL)
    is_blind = models.BooleanField(default=False, help_text="Hide the recorded quantities.")
    frozen_at = models.DateTimeField()
    begun_at = models.DateTimeField()
    closed_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-frozen_at"]

    def __str__(self) -> str:
        return self.name

    @property
    def shows_books(self) -> bool:
        """Whether whoever counts may see what the books say."""
        return self.closed_at is not None or not self.is_blind


class CountLine(models.Model):
    """One lot to be counted: what the books said at the freeze, and what lay there."""

    count = models.ForeignKey(Count, on_delete=models.CASCADE, related_name="lines")
    material = models.ForeignKey(Material, on_delete=models.PROTECT)
    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="count_lines")
    expected = QuantityField()
    counted = QuantityField(null=True, blank=True)
    reason = models.CharField(max_length=10, choices=DifferenceReason.choices, blank=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["material__name", "lot__received_on", "lot__number"]
        constraints = [
            models.UniqueConstraint(fields=["count", "lot"], name="a_lot_is_counted_once"),
        ]

    def __str__(self) -> str:
        return f"{self.lot} in {self.count}"
