"""Wood and water: weighings, moisture readings, and the meters they were taken with."""

from decimal import Decimal

from django.core.validators import MinValueValidator
from django.db import models

from inventory.fields import QuantityField
from inventory.models.lot import Lot
from inventory.models.species import Species

BY_MISTAKE = "Void: stays on record but does not count."


class Weighing(models.Model):
    """One weighing of a piece, all its parts together, in g."""

    lot = models.ForeignKey(Lot, on_delete=models.CASCADE, related_name="weighings")
    weighed_on = models.DateField()
    grams = QuantityField(validators=[MinValueValidator(Decimal("0.001"))])
    is_crossed_out = models.BooleanField(default=False, help_text=BY_MISTAKE)

    class Meta:
        ordering = ["weighed_on", "pk"]

    def __str__(self) -> str:
        return f"{self.lot.number}, {self.grams} g"


class Meter(models.Model):
    """A moisture meter, and what its own sheet says of it."""

    name = models.CharField(max_length=80, unique=True)
    slope = QuantityField(
        default=Decimal(1), help_text="From its data sheet, for species not listed below."
    )
    offset = QuantityField(
        default=Decimal(0), help_text="Percentage points of moisture, from the same sheet."
    )
    per_degree = QuantityField(
        default=Decimal(0), help_text="Percentage points it reads high per 1 °C."
    )
    calibrated_at = QuantityField("calibrated at, °C", default=Decimal(20))
    tested_on = models.DateField("last tested", null=True, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class MeterSpecies(models.Model):
    """What the sheet of a meter says of one species, in place of the meter's own figures."""

    meter = models.ForeignKey(Meter, on_delete=models.CASCADE, related_name="of_species")
    species = models.ForeignKey(Species, on_delete=models.CASCADE)
    slope = QuantityField(default=Decimal(1))
    offset = QuantityField(default=Decimal(0), help_text="Percentage points of moisture.")

    class Meta:
        ordering = ["species__name"]
        verbose_name_plural = "meter species"
        constraints = [
            models.UniqueConstraint(
                fields=["meter", "species"], name="a_meter_says_one_thing_of_a_species"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.meter} on {self.species}"


class MoistureReading(models.Model):
    """What a meter or an oven-dried sample said of a piece: raw and corrected, in percent."""

    lot = models.ForeignKey(Lot, on_delete=models.CASCADE, related_name="moisture_readings")
    read_on = models.DateField()
    meter = models.ForeignKey(Meter, null=True, blank=True, on_delete=models.PROTECT)
    raw = QuantityField()
    celsius = QuantityField("temperature of the wood, °C", null=True, blank=True)
    is_by_oven = models.BooleanField(
        default=False, help_text="Of a sample that was dried in an oven, not by a meter."
    )
    corrected = QuantityField()
    is_crossed_out = models.BooleanField(default=False, help_text=BY_MISTAKE)

    class Meta:
        ordering = ["read_on", "pk"]

    def __str__(self) -> str:
        return f"{self.lot.number}, {self.corrected} %"
