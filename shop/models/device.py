"""Devices: phones and machines that may talk to the API, each with its own token."""

from django.db import models
from knox.models import AuthToken


class Device(models.Model):
    """The name of a token, so that its owner knows which one to revoke."""

    token = models.OneToOneField(AuthToken, on_delete=models.CASCADE, related_name="device")
    name = models.CharField(max_length=60)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name
