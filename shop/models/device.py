"""Devices: phones and machines that may talk to the API, each with its own token."""

from django.conf import settings
from django.db import models
from knox.models import AuthToken


class Device(models.Model):
    """The name of a token, so that its owner knows which one to revoke, and what was last heard."""

    class Rights(models.TextChoices):
        BENCH = "bench", "the bench"
        ALL = "all", "all that its owner may"

    token = models.OneToOneField(AuthToken, on_delete=models.CASCADE, related_name="device")
    name = models.CharField(max_length=60)
    rights = models.CharField(max_length=5, choices=Rights, default=Rights.BENCH)
    last_seen_at = models.DateTimeField(null=True, blank=True)
    skew_seconds = models.IntegerField(
        default=0, help_text="The server's clock less the device's, as last noted."
    )
    version = models.CharField(max_length=20, blank=True, help_text="Of the page on the phone.")

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class PairingCode(models.Model):
    """A short code that gives one device a token; kept as a digest, used once, soon too old."""

    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE)
    name = models.CharField(max_length=60)
    digest = models.CharField(max_length=64, unique=True, help_text="SHA-256 of the code.")
    made_at = models.DateTimeField()
    expires_at = models.DateTimeField(db_index=True)
    misses = models.PositiveSmallIntegerField(
        default=0, help_text="Wrong codes that were tried while this one was open."
    )

    class Meta:
        ordering = ["-made_at"]

    def __str__(self) -> str:
        return f"code for {self.name}"
