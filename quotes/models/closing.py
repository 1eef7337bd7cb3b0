"""Close-outs: what a build cost and earned, as it stood on the day it was closed."""

from django.db import models

from inventory.fields import MoneyField
from shop.models import Build


class CloseOut(models.Model):
    """The comparison of quoted and actual, kept when a build is delivered."""

    build = models.OneToOneField(Build, on_delete=models.PROTECT, related_name="close_out")
    closed_on = models.DateField()
    figures = models.JSONField(editable=False)
    charge_next_time = MoneyField(null=True, blank=True)
    note_to_self = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-closed_on", "-pk"]

    def __str__(self) -> str:
        return f"close-out of {self.build.serial}"
