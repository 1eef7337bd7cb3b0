"""Clients and their commissions."""

from django.db import models


class Client(models.Model):
    """Somebody who orders an instrument."""

    class Kind(models.TextChoices):
        PLAYER = "player", "player"
        DEALER = "dealer", "dealer"
        OTHER = "other", "other"

    name = models.CharField(max_length=120)
    kind = models.CharField(max_length=6, choices=Kind.choices, default=Kind.PLAYER)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    address = models.TextField(blank=True)
    country = models.CharField(max_length=2, blank=True, help_text="ISO 3166 code, such as NL.")
    currency = models.CharField(
        max_length=3, blank=True, help_text="Empty: the workshop's currency."
    )
    tax_number = models.CharField(max_length=30, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Commission(models.Model):
    """A client's order from first talk to delivery."""

    class State(models.TextChoices):
        TALKING = "talking", "enquiry"
        ACCEPTED = "accepted", "accepted"
        DELIVERED = "delivered", "delivered"
        CANCELLED = "cancelled", "cancelled"

    client = models.ForeignKey(Client, on_delete=models.PROTECT, related_name="commissions")
    title = models.CharField(max_length=160)
    state = models.CharField(max_length=9, choices=State.choices, default=State.TALKING)
    asked_on = models.DateField()
    cancelled_on = models.DateField(null=True, blank=True)
    cancel_reason = models.CharField(max_length=300, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["-asked_on", "-pk"]

    def __str__(self) -> str:
        return f"{self.title} for {self.client}"
