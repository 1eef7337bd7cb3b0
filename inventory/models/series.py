"""Counters that give out numbers without gaps."""

from django.db import models


class Series(models.Model):
    """The last number given in one series, such as the lots of a letter or a year's quotes."""

    key = models.CharField(max_length=20, unique=True)
    last = models.PositiveIntegerField(default=0)

    class Meta:
        verbose_name_plural = "series"

    def __str__(self) -> str:
        return f"{self.key} {self.last}"
