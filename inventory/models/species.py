"""Species of wood: what books say of each, with where that was read."""

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from inventory.fields import QuantityField


class Species(models.Model):
    """One species or trade group. Listings are dated notes, to be checked with the authority."""

    name = models.CharField(max_length=80, unique=True)
    botanical_name = models.CharField(max_length=120, blank=True)
    density = QuantityField("density, kg/m³", null=True, blank=True, help_text="Air-dry.")
    shrinkage_radial = QuantityField(
        null=True, blank=True, help_text="Percent of green size, green to ovendry."
    )
    shrinkage_tangential = QuantityField(
        null=True, blank=True, help_text="Percent of green size, green to ovendry."
    )
    fibre_saturation = QuantityField(
        default=Decimal(30),
        help_text="Percent of moisture above which it does not move: 30 for most species.",
        validators=[MinValueValidator(Decimal(15)), MaxValueValidator(Decimal(40))],
    )
    dust = models.CharField(max_length=300, blank=True, help_text="Caution on its dust.")
    listing = models.CharField(max_length=200, blank=True, help_text="CITES listing, as read.")
    listed_since = models.DateField(
        null=True,
        blank=True,
        help_text="Lots show whether they were received before this day.",
    )
    listing_read_on = models.DateField(null=True, blank=True)
    source = models.TextField(blank=True, help_text="Source of these figures.")
    is_verified = models.BooleanField(default=False)

    class Meta:
        ordering = ["name"]
        verbose_name_plural = "species"

    def __str__(self) -> str:
        return self.name
