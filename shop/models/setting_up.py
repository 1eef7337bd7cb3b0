"""Set-up readings: what was measured on an instrument, when, and under which strings."""

from django.conf import settings
from django.db import models

from inventory.fields import QuantityField
from shop.models.build import Build


class Measure(models.TextChoices):
    """What is measured when an instrument is set up. Cents for intonation, mm for the rest."""

    ACTION_TREBLE = "action_treble", "Action at the 12th fret, treble"
    ACTION_BASS = "action_bass", "Action at the 12th fret, bass"
    RELIEF = "relief", "Relief"
    FRETTED_GAP = "fretted_gap", "Gap over the 1st fret, fretted at the 3rd"
    OPEN_GAP = "open_gap", "Open gap at the 1st fret"
    INTONATION_TREBLE = "intonation_treble", "Intonation at the 12th, treble, cents"
    INTONATION_BASS = "intonation_bass", "Intonation at the 12th, bass, cents"
    NUT_WIDTH = "nut_width", "Nut width"
    SCALE = "scale", "Scale"


class SetUpReading(models.Model):
    """One reading; readings are added, never changed, so before and after stand side by side."""

    build = models.ForeignKey(Build, on_delete=models.CASCADE, related_name="readings")
    measure = models.CharField(max_length=20, choices=Measure.choices)
    value = QuantityField(help_text="In mm, or cents.")
    gauge = models.CharField(max_length=60, blank=True, help_text="What it was measured with.")
    strings = models.CharField(max_length=80, blank=True)
    humidity_percent = models.PositiveSmallIntegerField(null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)
    taken_at = models.DateTimeField()
    recorded_at = models.DateTimeField()
    taken_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT)

    class Meta:
        ordering = ["taken_at", "pk"]
        indexes = [models.Index(fields=["build", "taken_at"], name="reading_of_build")]

    def __str__(self) -> str:
        return f"{self.get_measure_display()} {self.value}"
