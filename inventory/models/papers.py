"""What travels with a lot: photos, invoices, permits."""

from django.db import models

from inventory.base.calc.days import day_words
from inventory.models.lot import Lot


class Photo(models.Model):
    """A picture of a piece or lot, made small, without the place it was taken at."""

    lot = models.ForeignKey(Lot, on_delete=models.CASCADE, related_name="photos")
    image = models.ImageField(upload_to="stock/%Y/")
    small = models.ImageField(upload_to="stock/%Y/", blank=True, help_text="For lists.")
    note = models.CharField(max_length=200, blank=True)
    taken_on = models.DateField()

    class Meta:
        ordering = ["taken_on", "pk"]

    def __str__(self) -> str:
        return self.note or f"{self.lot.number}, {day_words(self.taken_on)}"


class PaperKind(models.TextChoices):
    """What a paper is."""

    INVOICE = "invoice", "invoice"
    PERMIT = "permit", "permit"
    ORIGIN = "origin", "statement of origin"
    OTHER = "other", "other document"


class Paper(models.Model):
    """One paper of a lot: kept and shown, never judged. Check with the authority."""

    lot = models.ForeignKey(Lot, on_delete=models.CASCADE, related_name="papers")
    kind = models.CharField(max_length=8, choices=PaperKind.choices, default=PaperKind.INVOICE)
    number = models.CharField(max_length=80, blank=True)
    issued_by = models.CharField(max_length=120, blank=True)
    issued_on = models.DateField(null=True, blank=True)
    valid_until = models.DateField(null=True, blank=True)
    file = models.FileField(upload_to="papers/%Y/", blank=True)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["kind", "pk"]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.number}".strip()
