"""Tax rates with the first day they hold."""

from django.db import models

from inventory.base.calc.days import day_words


class DatedTaxRate(models.Model):
    """One rate of the shop's tax from a day on, until a later row of the same name."""

    STANDARD = "standard"

    name = models.CharField(max_length=30, default=STANDARD)
    since = models.DateField("from", help_text="The first day it applies.")
    rate = models.DecimalField(max_digits=5, decimal_places=4, help_text="0.20 is 20 %.")

    class Meta:
        ordering = ["name", "-since"]
        constraints = [
            models.UniqueConstraint(fields=["name", "since"], name="one_rate_of_a_name_a_day"),
        ]

    def __str__(self) -> str:
        return f"{self.name} from {day_words(self.since)}"
