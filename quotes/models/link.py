"""Links to a client's pages, and what a client decided there.

Each row is about a quote; with `change` it is about that change to it, and not about the quote.
"""

from django.db import models

from quotes.models.change import Change
from quotes.models.quote import Quote


class ClientLink(models.Model):
    """A secret address at which a client reads one quote or change; only its hash is kept."""

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="links")
    change = models.ForeignKey(
        Change, null=True, blank=True, on_delete=models.CASCADE, related_name="links"
    )
    secret_sha256 = models.CharField(max_length=64, unique=True, editable=False)
    made_at = models.DateTimeField()
    expires_on = models.DateField(help_text="The last day it works.")
    withdrawn_at = models.DateTimeField(null=True, blank=True)
    opened_at = models.DateTimeField(null=True, blank=True, help_text="When it was first opened.")
    seen_at = models.DateTimeField(null=True, blank=True, help_text="When it was last opened.")

    class Meta:
        ordering = ["-pk"]

    def __str__(self) -> str:
        return f"link to {self.change or self.quote}"


class Decision(models.Model):
    """What somebody said to a version of a quote or to a change, and which paper they read."""

    class Said(models.TextChoices):
        YES = "yes", "accepted"
        NO = "no", "declined"

    quote = models.ForeignKey(Quote, on_delete=models.PROTECT, related_name="decisions")
    change = models.OneToOneField(
        Change, null=True, blank=True, on_delete=models.PROTECT, related_name="decision"
    )
    link = models.ForeignKey(
        ClientLink, null=True, blank=True, on_delete=models.SET_NULL, related_name="decisions"
    )
    said = models.CharField(max_length=3, choices=Said.choices)
    name = models.CharField(max_length=120, help_text="As it was typed.")
    dated = models.DateField(null=True, blank=True, help_text="The day as it was typed.")
    words = models.CharField(max_length=300, blank=True)
    decided_at = models.DateTimeField()
    document_sha256 = models.CharField(max_length=64)

    class Meta:
        ordering = ["-decided_at"]
        constraints = [
            models.UniqueConstraint(
                fields=["quote"], condition=models.Q(change=None), name="one_decision_of_a_quote"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.get_said_display()} {self.change or self.quote}"


class ClientMessage(models.Model):
    """What the maker has to hear of a client's pages, until the maker has seen it."""

    class About(models.TextChoices):
        ACCEPTED = "accepted", "accepted"
        AGREED = "agreed", "agreed"
        DECLINED = "declined", "declined"
        PIECE_GONE = "gone", "wanted to accept, but a piece is no longer available"

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="messages")
    change = models.ForeignKey(
        Change, null=True, blank=True, on_delete=models.CASCADE, related_name="messages"
    )
    about = models.CharField(max_length=8, choices=About.choices)
    name = models.CharField(max_length=120, help_text="As it was typed.")
    words = models.CharField(max_length=400, blank=True)
    said_at = models.DateTimeField()
    seen_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-pk"]
        indexes = [
            models.Index(
                fields=["said_at"],
                condition=models.Q(seen_at__isnull=True),
                name="client_message_unseen",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name}: {self.get_about_display()}"
