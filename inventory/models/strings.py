"""Strings: what is known of a single one, and sets of them for an instrument."""

from decimal import Decimal

from django.core.validators import MinValueValidator
from django.db import models

from inventory.fields import QuantityField
from inventory.models.material import Material
from inventory.models.recipe import Recipe


class StringEnd(models.TextChoices):
    """What holds a string at its end."""

    BALL = "ball", "ball end"
    LOOP = "loop", "loop end"


class SingleString(models.Model):
    """A material that is a string. Without a weight of its own it is plain steel."""

    material = models.OneToOneField(
        Material, primary_key=True, on_delete=models.CASCADE, related_name="string"
    )
    gauge = QuantityField(
        "gauge, thousandths of an inch", validators=[MinValueValidator(Decimal("0.001"))]
    )
    grams_per_metre = models.DecimalField(
        "unit weight, g/m",
        max_digits=9,
        decimal_places=5,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("0.00001"))],
        help_text="Measured or from the maker; empty for plain steel.",
    )

    end = models.CharField(max_length=4, choices=StringEnd.choices, blank=True, default="")

    class Meta:
        ordering = ["gauge"]
        constraints = [
            models.CheckConstraint(condition=models.Q(gauge__gt=0), name="string_gauge_positive"),
        ]

    def __str__(self) -> str:
        return str(self.material)


class StringSet(models.Model):
    """The strings that an instrument takes; as stock it is made up by its recipe."""

    recipe = models.OneToOneField(Recipe, on_delete=models.CASCADE, related_name="string_set")
    instrument = models.CharField(max_length=120, blank=True)
    scale_mm = QuantityField(validators=[MinValueValidator(Decimal("0.001"))])
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["recipe__material__name"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(scale_mm__gt=0), name="string_set_scale_positive"
            ),
        ]

    def __str__(self) -> str:
        return str(self.recipe.material)


class SetString(models.Model):
    """The string or strings of one pitch in a set, in the order of the courses."""

    string_set = models.ForeignKey(StringSet, on_delete=models.CASCADE, related_name="strings")
    position = models.PositiveSmallIntegerField()
    single = models.ForeignKey(SingleString, on_delete=models.PROTECT, related_name="in_sets")
    pitch = models.CharField(max_length=4)
    count = models.PositiveSmallIntegerField(default=1, help_text="2 for a pair.")

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(count__gt=0), name="set_string_count_positive"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.pitch}: {self.single}"
