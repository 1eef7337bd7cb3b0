"""Needs: what somebody's plans will take from the shelf, drawn already or not."""

from django.db import models

from inventory.fields import QuantityField
from inventory.models.material import Material


class Need(models.Model):
    """The whole quantity of one material that a holder's line will take, as it was agreed.

    What is still wanted of it follows from the journal: what the holder has drawn since.
    """

    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="needs")
    quantity = QuantityField()
    holder = models.CharField(max_length=40, db_index=True)
    holder_name = models.CharField(max_length=120)
    line = models.CharField(max_length=40, blank=True, help_text="The holder's own key of a line.")
    wanted_by = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["wanted_by", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(quantity__gt=0), name="need_quantity_positive"
            ),
            models.UniqueConstraint(
                fields=["holder", "line", "material"], name="one_need_for_a_line"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.material} for {self.holder_name}"
