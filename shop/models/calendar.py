"""The working week and the days off."""

from decimal import Decimal

from django.conf import settings
from django.db import models

from inventory.base.calc.days import day_words


class WorkingWeek(models.Model):
    """Hands-on hours of each weekday. There is at most one row."""

    monday = models.DecimalField(max_digits=4, decimal_places=2, default=Decimal(5))
    tuesday = models.DecimalField(max_digits=4, decimal_places=2, default=Decimal(5))
    wednesday = models.DecimalField(max_digits=4, decimal_places=2, default=Decimal(5))
    thursday = models.DecimalField(max_digits=4, decimal_places=2, default=Decimal(5))
    friday = models.DecimalField(max_digits=4, decimal_places=2, default=Decimal(4))
    saturday = models.DecimalField(max_digits=4, decimal_places=2, default=Decimal(0))
    sunday = models.DecimalField(max_digits=4, decimal_places=2, default=Decimal(0))
    day_ends_at = models.TimeField(default="17:00")

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(pk=1), name="one_working_week")]

    def __str__(self) -> str:
        return f"{self.total} h a week"

    @property
    def hours(self) -> tuple[Decimal, ...]:
        """Hours from Monday to Sunday."""
        return (
            self.monday,
            self.tuesday,
            self.wednesday,
            self.thursday,
            self.friday,
            self.saturday,
            self.sunday,
        )

    @property
    def total(self) -> Decimal:
        """Hours of the whole week."""
        return sum(self.hours, Decimal(0))


class DayOff(models.Model):
    """A stretch of days on which nobody works."""

    first = models.DateField()
    last = models.DateField()
    reason = models.CharField(max_length=80, blank=True)

    class Meta:
        ordering = ["first"]
        verbose_name_plural = "days off"
        constraints = [
            models.CheckConstraint(
                condition=models.Q(last__gte=models.F("first")), name="days_off_in_order"
            ),
        ]

    def __str__(self) -> str:
        return f"{day_words(self.first)} to {day_words(self.last)}"


class Preference(models.Model):
    """What one person wants to see: units, if not the workshop's."""

    user = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="preference"
    )
    units = models.CharField(
        max_length=8, blank=True, choices=[("metric", "mm, g"), ("imperial", "inch, lb")]
    )

    def __str__(self) -> str:
        return f"preference of {self.user}"
