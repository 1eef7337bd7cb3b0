"""Made-up stock: what the shop makes for its own shelf, and of what."""

from django.db import models

from inventory.fields import QuantityField
from inventory.models.material import Material


class Recipe(models.Model):
    """How one unit of a material is made up from others: a string set, a wiring kit."""

    material = models.OneToOneField(Material, on_delete=models.CASCADE, related_name="recipe")
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["material__name"]

    def __str__(self) -> str:
        return f"Parts of {self.material}"


class RecipePart(models.Model):
    """So much of a material in one unit of what is made up."""

    recipe = models.ForeignKey(Recipe, on_delete=models.CASCADE, related_name="parts")
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="part_of")
    quantity = QuantityField(help_text="Base units, for one.")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["recipe", "material"], name="a_part_stands_once"),
            models.CheckConstraint(
                condition=models.Q(quantity__gt=0), name="recipe_part_quantity_positive"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.material} in {self.recipe.material}"
