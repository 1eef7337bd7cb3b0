"""A year of the workshop: what the shop rate is worked out from."""

from decimal import Decimal

from django.db import models

from inventory.fields import MoneyField


class YearPlan(models.Model):
    """Working time, wanted pay and profit of a year. There is at most one row."""

    weeks = models.DecimalField(
        "weeks per year", max_digits=4, decimal_places=1, default=Decimal(46)
    )
    weekly_hours = models.DecimalField(
        "hours per week", max_digits=4, decimal_places=1, default=Decimal(40)
    )
    billable_share = models.DecimalField(max_digits=5, decimal_places=4, default=Decimal("0.60"))
    wanted_pay = MoneyField("target pay per year", default=Decimal(30000))
    profit_margin = models.DecimalField(max_digits=5, decimal_places=4, default=Decimal("0.10"))
    rate_step = MoneyField("round the rate up to", default=Decimal(1))

    class Meta:
        constraints = [models.CheckConstraint(condition=models.Q(pk=1), name="one_year_plan")]

    def __str__(self) -> str:
        return "year plan"


class Overhead(models.Model):
    """One cost of a year that no build can be charged with directly."""

    name = models.CharField(max_length=120)
    yearly = MoneyField("per year")
    position = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["position", "pk"]

    def __str__(self) -> str:
        return self.name
