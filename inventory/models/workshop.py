"""The workshop itself: one row, filled in on the first run."""

from django.db import models


class Workshop(models.Model):
    """Whose shop this is, its money and its units. There is at most one row."""

    METRIC, IMPERIAL = "metric", "imperial"

    name = models.CharField(max_length=120)
    maker = models.CharField(max_length=120)
    address = models.TextField(blank=True)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    country = models.CharField(max_length=2, blank=True, help_text="ISO 3166 code, such as NL.")
    currency = models.CharField(max_length=3, default="EUR", help_text="ISO 4217 code.")
    units = models.CharField(
        max_length=8, choices=[(METRIC, "mm, g"), (IMPERIAL, "inch, lb")], default=METRIC
    )
    time_zone = models.CharField(max_length=60, default="UTC")
    tax_registered = models.BooleanField(
        "registered for sales tax or VAT", default=False, help_text="Ask your accountant if unsure."
    )
    tax_number = models.CharField(max_length=30, blank=True)
    public_address = models.CharField(
        max_length=200,
        blank=True,
        help_text="Where clients reach this program from outside, such as https://quotes.example. "
        "Links to clients use it.",
    )
    is_demo = models.BooleanField(default=False, editable=False)

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="one_workshop"),
        ]

    def __str__(self) -> str:
        return self.name
