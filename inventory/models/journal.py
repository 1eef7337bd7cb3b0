"""The stock journal: entries are added, never changed; a mistake gets a counter-entry."""

from django.conf import settings
from django.db import models

from inventory.fields import MoneyField, QuantityField
from inventory.models.lot import Lot
from inventory.models.material import Material


class Reason(models.TextChoices):
    """Why stock came, went or changed its cost."""

    RECEIVED = "received", "received"
    DRAWN = "drawn", "drawn"
    RETURNED = "returned", "returned"
    SCRAPPED = "scrapped", "scrapped"
    CUT = "cut", "cut"
    SPLIT = "split", "split"
    SOLD = "sold", "sold"
    COUNTED = "counted", "count difference"
    SENT_BACK = "sent_back", "sent back"
    MADE = "made", "made"
    USED = "used", "used"
    DOWNGRADED = "downgraded", "downgraded"
    REJECTED = "rejected", "rejected"
    COST_MOVED = "cost_moved", "cost adjusted"
    CORRECTED = "corrected", "reversed"


class StockEntry(models.Model):
    """One line of the journal: a signed quantity and its signed cost.

    `lot` is empty for what was drawn beyond the books; such an entry is `to_reconcile` until a
    count stamps `reconciled_at`. `happened_at` is when it was done, `recorded_at` when it was told.
    What was written at once is one act: the first entry, and the others that name it as `act`.
    """

    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="entries")
    lot = models.ForeignKey(
        Lot, null=True, blank=True, on_delete=models.PROTECT, related_name="entries"
    )
    reason = models.CharField(max_length=10, choices=Reason.choices)
    quantity = QuantityField()
    cost = MoneyField()
    holder = models.CharField(max_length=40, blank=True, help_text="Such as build:12.")
    line = models.CharField(
        max_length=40, blank=True, default="", help_text="The holder's own key of a line."
    )
    note = models.CharField(max_length=300, blank=True)
    happened_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    recorded_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT
    )
    about = models.ForeignKey(
        "self",
        null=True,
        blank=True,
        db_index=False,
        on_delete=models.PROTECT,
        related_name="followed_by",
        help_text="The entry that this one reverses or returns stock of.",
    )
    act = models.ForeignKey(
        "self",
        null=True,
        blank=True,
        db_index=False,
        on_delete=models.PROTECT,
        related_name="together",
        help_text="The first entry of what was done at once, such as a cut; empty for itself.",
    )
    to_reconcile = models.BooleanField(default=False)
    reconciled_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-happened_at", "-pk"]
        verbose_name_plural = "stock entries"
        constraints = [
            models.UniqueConstraint(
                fields=["about"],
                condition=models.Q(reason="corrected"),
                name="an_entry_is_corrected_once",
            ),
        ]
        indexes = [
            models.Index(fields=["material", "happened_at"], name="entry_of_material"),
            models.Index(fields=["happened_at", "id"], name="entry_by_day"),
            # Of all entries: SQLite can't tell that a holder's name is not the empty one.
            models.Index(fields=["holder"], name="entry_of_any_holder"),
            # Most entries are about no other: with those in it SQLite takes the index for useless.
            models.Index(
                fields=["about"], condition=models.Q(about__isnull=False), name="entry_about"
            ),
            models.Index(
                fields=["act"], condition=models.Q(act__isnull=False), name="entry_of_act"
            ),
            models.Index(
                fields=["material"],
                condition=models.Q(to_reconcile=True, reconciled_at=None),
                name="entry_to_reconcile",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_reason_display()} {self.quantity} {self.material}"
